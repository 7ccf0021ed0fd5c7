"""Phrases that several stages share: weights, targets, blanks, the machine's own words, holds."""

from collections.abc import Iterable

from packet.figures import show_absolute, show_pressure, show_vacuum, show_weight
from packet.hookup.acts import Act, Effect
from packet.hookup.model import Blank
from packet.hookup.request import CylinderNeed, Request
from packet.hookup.rules import LONGEST_GROUP
from packet.ledger.fields import Quantity, suffix, unit
from packet.words import t


def ask(request: Request, key: str, label: str, quantity: Quantity) -> Blank:
    """A blank whose key and unit follow the shop's units, as in the readings form."""
    return Blank(key + suffix(quantity, request.units), label, unit(quantity, request.units))


def weight(request: Request, lb: float) -> str:
    """A weight as the scale shows it."""
    places = 2 if request.units == "SI" or round(request.scale_step_lb * 10, 6) % 1 else 1
    return show_weight(lb, request.units, places)


def target(request: Request) -> str:
    """How deep to draw, as the gauge will read it at the site; for a small appliance, how much by weight."""
    if request.target_is_percent:
        return t(
            "{percent} % of the charge: {weight} on the scale",
            percent=f"{request.target_percent_of_charge or 0:.0f}",
            weight=weight(request, request.target_lb or 0.0),
        )
    if request.low_pressure and request.target_psia is not None:
        return show_absolute(request.target_psia, request.units)
    return show_vacuum(request.gauge_at_site_inHg_vacuum or 0.0, request.units)


def stop_and_cool(request: Request, cylinder: CylinderNeed) -> tuple[str, ...]:
    """The caution that goes with a running machine: the pressure at which to stop and cool."""
    if cylinder.stop_and_cool_psig is None:
        return ()
    return (
        t(
            "Discharge gauge at {pressure}: stop and cool {cylinder}. Shade, water, a fan; never ice on one side.",
            pressure=show_pressure(cylinder.stop_and_cool_psig, request.units),
            cylinder=cylinder.id,
        ),
    )


# Limit of the shell, and where its rupture disc opens: 7-sequences.md; the disc from memory.
CHILLER_SHELL_PSIG = 10.0
RUPTURE_DISC_PSIG = 15.0


def shell_caution(request: Request) -> tuple[str, ...]:
    """A low-pressure machine's shell is protected by a rupture disc."""
    if not request.low_pressure:
        return ()
    return (
        t(
            "The shell never above {pressure}: its rupture disc opens at {disc}.",
            pressure=show_pressure(CHILLER_SHELL_PSIG, request.units),
            disc=show_pressure(RUPTURE_DISC_PSIG, request.units),
        ),
    )


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


def hold(name: str, text: str, *more: str) -> Act:
    """A hold point: nobody goes on before it is initialled."""
    return Act(text, (Effect("hold", name),), "hold", cautions=more)


def in_groups(acts: Iterable[Act], last: Act) -> tuple[Act, ...]:
    """The acts in even groups of at most nine, a hold after each; `last` is the hold that ends them.

    An act that is a hold already ends its group.
    """
    runs: list[list[Act]] = [[]]
    for act in acts:
        runs[-1].append(act)
        if act.kind == "hold":
            runs.append([])
    out: list[Act] = []
    for number, run in enumerate(runs, start=1):
        ends_itself = bool(run) and run[-1].kind == "hold"
        body = run[:-1] if ends_itself else run
        pieces = max(1, -(-len(body) // (LONGEST_GROUP - 1)))
        size = -(-len(body) // pieces) if body else 0
        for piece in range(pieces):
            out += body[piece * size : (piece + 1) * size]
            if piece < pieces - 1:
                out.append(
                    hold(f"so-far:{last.effects[0].what}-{number}-{piece + 1}", t("Hold. Everything above is done."))
                )
        out += run[-1:] if ends_itself else []
    return (*out, last)
