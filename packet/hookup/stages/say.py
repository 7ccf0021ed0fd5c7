"""Phrases that several groups share: weights, targets, blanks, the machine's own words, ports opened and closed."""

from packet.figures import show_absolute, show_gauge, show_pressure, show_pressure_limit, show_vacuum, show_weight
from packet.hookup.acts import Act, Effect, act, closes, mode, opens
from packet.hookup.model import Blank
from packet.hookup.request import CylinderNeed, Request
from packet.hookup.rig import Rig, listed
from packet.ledger.fields import Quantity, suffix, unit
from packet.rules.printed import printed_weight
from packet.words import t

# 40 CFR 82.156(b), from memory: a small appliance to 4 inHg where its charge is not known, or as the other criterion
SMALL_VACUUM_INHG = 4.0


def ask(request: Request, key: str, label: str, quantity: Quantity) -> Blank:
    """A blank whose key and unit follow the shop's units, as in the readings form."""
    return Blank(key + suffix(quantity, request.units), label, unit(quantity, request.units))


def weight(request: Request, lb: float) -> str:
    """A weight as the scale shows it."""
    return show_weight(lb, request.units, printed_weight(request.scale_step_lb, request.units).places)


def target(request: Request) -> str:
    """How deep to draw, as the gauge will read it at the site; for a small appliance, how much by weight."""
    if request.target_is_percent:
        return t(
            "{weight} ({percent} %) or {vacuum}",
            percent=f"{request.target_percent_of_charge or 0:.0f}",
            weight=weight(request, request.target_lb or 0.0),
            vacuum=show_vacuum(SMALL_VACUUM_INHG, request.units),
        )
    if request.low_pressure and request.target_psia is not None:
        return show_absolute(request.target_psia, request.units)
    return show_vacuum(request.gauge_at_site_inHg_vacuum or 0.0, request.units)


def stop_and_cool(request: Request, cylinder: CylinderNeed) -> tuple[str, ...]:
    """The caution that goes with a running machine: the pressure at which to stop and cool the cylinder."""
    if cylinder.stop_and_cool_psig is None:
        return ()
    return (
        t(
            "Discharge gauge at {pressure}: close the inlet, stop, cool {cylinder} with shade, water or a fan; never ice.",
            pressure=show_pressure_limit(cylinder.stop_and_cool_psig, request.units),
            cylinder=cylinder.id,
        ),
    )


def appliance_side(request: Request) -> tuple[str, ...]:
    """In push-pull the discharge gauge reads the appliance's side, not the cylinder's."""
    limit = request.appliance_side_psig
    if limit is None:
        return (
            t("The discharge gauge is the appliance's side: if it climbs, hose B or the appliance is blocked: stop."),
        )
    return (
        t(
            "The discharge gauge is the appliance's side: at {pressure} hose B or the appliance is blocked: stop.",
            pressure=show_pressure_limit(limit, request.units),
        ),
    )


# Limit of the shell: common practice, no source. Where its rupture disc opens: from memory.
CHILLER_SHELL_PSIG = 10.0
RUPTURE_DISC_PSIG = 15.0


def shell_caution(request: Request) -> tuple[str, ...]:
    """A low-pressure machine's shell is protected by a rupture disc."""
    if not request.low_pressure:
        return ()
    return (
        t(
            "The shell never above {pressure}: its rupture disc opens at {disc}.",
            pressure=show_pressure_limit(CHILLER_SHELL_PSIG, request.units),
            disc=show_pressure(RUPTURE_DISC_PSIG, request.units),
        ),
    )


def gauge_words(request: Request, psig: float) -> str:
    """A pressure as the gauge that reads the appliance shows it: absolute on a low-pressure machine."""
    if request.low_pressure:
        return show_absolute(max(psig + request.barometer_psia, 0.0), request.units)
    return show_gauge(psig, request.units)


def word_vapor(request: Request) -> str:
    """The machine's own word for recovering vapor."""
    return request.controls.recover_vapor or t("recover, vapor")


def word_liquid(request: Request) -> str:
    """The machine's own word for recovering liquid."""
    return request.controls.recover_liquid or t("recover, liquid")


def word_clear(request: Request) -> str:
    """The machine's own word for clearing itself."""
    return request.controls.clear or t("clear (purge)")


def word_off(request: Request) -> str:
    """The machine's own word for off."""
    return request.controls.off or t("off")


def word_start(request: Request, to: str) -> str:
    """The machine's own word for 'vapor', 'liquid' or 'push-pull'."""
    return word_liquid(request) if to == "liquid" else word_vapor(request)


def opening(rig: Rig, port: str) -> Act:
    """Open a port ('liquid', 'vapor') by what isolates it, in the words of its kind."""
    valve = rig.isolator(port)
    name, kind = rig.valve(valve), rig.request.port_kinds["liquid" if port == "liquid" else "vapor"]
    if kind in {"service-valve", "king-valve"}:
        words = t("Turn the {valve} to mid-position.", valve=name)
    elif kind == "piercing":
        words = t("Pierce with the {valve}, open it.", valve=name)
    else:
        words = t("Open the {valve}.", valve=name)
    return act(words, opens(valve))


def closing(rig: Rig, *ports: str) -> Act:
    """Close these ports by what isolates them."""
    words = []
    valves = [rig.isolator(port) for port in ports]
    kinds = [rig.request.port_kinds["liquid" if port == "liquid" else "vapor"] for port in ports]
    for stem in (False, True):
        names = [
            rig.valve(valve)
            for valve, kind in zip(valves, kinds, strict=True)
            if (kind in {"service-valve", "king-valve"}) == stem
        ]
        if names:
            said = listed(names)
            words.append(t("Back-seat the {valve}.", valve=said) if stem else t("Close {valve}.", valve=said))
    return act(" ".join(words), closes(*valves))


def clearing(rig: Rig, into: str) -> tuple[Act, Act, Act]:
    """Set to clear, wait for its maker's reading, off. into: what it empties itself into, as a phrase."""
    request = rig.request
    reading = request.clear_to or t("the reading its maker gives")
    return (
        act(
            t("Machine to “{word}” into {into}.", word=word_clear(request), into=into),
            mode("clear"),
        ),
        act(t("Wait: {reading}.", reading=reading), Effect("cleared")),
        act(t("Then “{word}”.", word=word_off(request)), mode("off")),
    )


def tolerance(request: Request) -> str:
    """What the scale can explain: two of its steps."""
    return weight(request, 2 * request.scale_step_lb)
