"""Before anything is connected: cylinders, machine, scale, gauges; and what is done to a cylinder around its fill."""

from collections.abc import Iterator

from packet.hookup.acts import Act, Effect, Line, act, did, hold, line
from packet.hookup.model import Blank
from packet.hookup.request import CylinderNeed, Request
from packet.hookup.rig import Rig, listed
from packet.hookup.stages.say import ask, tolerance, weight
from packet.words import t

NAMES_IN_A_LINE = 4


def cylinders_and_scale(rig: Rig) -> Iterator[Line]:
    """Cylinders, machine, scale and gauges, then the first hold."""
    request = rig.request
    ids = [cylinder.id for cylinder in request.cylinders]
    named = listed(ids) if len(ids) <= NAMES_IN_A_LINE else t("every cylinder")
    # 49 CFR 173.301(a)(2): looked at before each fill
    yield line(
        act(
            t(
                "Inspect {cylinders}: no dent, rust or bulge; valves, relief device and test date good.",
                cylinders=named,
            ),
            did(*(f"inspect:{name}" for name in ids)),
        ),
        kind="check",
        blanks=tuple(ask(request, f"cylinders.{name}.inspected", t("Inspected"), "initials") for name in ids),
    )
    yield line(
        _machine(request),
        act(t("Zero every gauge here, open to the air."), did("gauges-zeroed")),
        kind="check",
    )
    check = (
        t("Check weight {weight} on it: it reads {weight}.", weight=weight(request, request.check_weight_lb))
        if request.check_weight_lb is not None
        else t("Something of known weight on it: it reads that weight.")
    )
    yield line(
        act(
            t("Scale {scale} level on hard ground, zeroed empty, never loaded.", scale=request.scale),
            did("scale-level"),
        ),
        act(check, did("scale-check"), uses=("check-weight",)),
    )
    yield weigh_before(rig, request.cylinders[0])
    yield hold(
        "before",
        act(
            t(
                "People, place, power, cylinders and scale are as above; in doubt, don't fill it: tag it out. No hose is on yet."
            )
        ),
    )


def _machine(request: Request) -> Act:
    had = request.machine_had
    if had and had != request.refrigerant:
        words = t(
            "Machine {machine}: cleared and evacuated since {had}, screen clean, new filter-drier.",
            machine=request.machine,
            had=had,
        )
    else:
        words = t("Machine {machine}: cleared after its last job, screen clean.", machine=request.machine)
    return act(words, did("machine-ready", "screen"))


def weigh_before(rig: Rig, cylinder: CylinderNeed) -> Line:
    """The gross weight with hoses off, against tare and ledger: a wrong heel or a wrong gas shows here."""
    request = rig.request
    return line(
        act(
            t(
                "Weigh {cylinder}, hoses off; stays on. Expect {expected}; over {tolerance} off: stop, wrong heel or refrigerant.",
                cylinder=cylinder.id,
                expected=weight(request, cylinder.expected_bare_gross_lb),
                tolerance=tolerance(request),
            ),
            Effect("weigh-before", cylinder.id, amount=cylinder.expected_bare_gross_lb),
        ),
        kind="read",
        blanks=(before_blank(request, cylinder),),
    )


def before_blank(request: Request, cylinder: CylinderNeed) -> Blank:
    """Where the weight before is written."""
    return ask(request, f"cylinders.{cylinder.id}.bare_before_gross", t("Cylinder weight BEFORE (hoses off)"), "weight")


def after_blank(request: Request, cylinder: CylinderNeed) -> Blank:
    """Where the weight after is written: 49 CFR 173.304a(c)."""
    return ask(request, f"cylinders.{cylinder.id}.bare_after_gross", t("Cylinder weight AFTER (hoses off)"), "weight")


def above_the_limit() -> str:
    """What a cylinder above its limit asks for."""
    return t("If it EXCEEDS its limit: cool it, move the excess into another one at once; never drive it.")
