"""The hose list of a stage, read off the joints as they stand while it runs."""

from packet.hookup.model import HoseLine, LineStyle
from packet.hookup.parts import FITTINGS, Bench
from packet.hookup.rig import Rig
from packet.hookup.state import State
from packet.words import N_, t

# The trade's colors, by what a hose carries; the kit's own hoses may be of another color.
COLORS: dict[LineStyle, str] = {"liquid": N_("red"), "vapor": N_("blue"), "utility": N_("yellow"), "cable": N_("black")}


def carries(letter: str, stage: str) -> LineStyle:
    """What a hose carries in a stage: A the liquid (or high) side, B and push-pull's C vapor, the others utility."""
    if letter == "A":
        return "liquid"
    if letter == "B" or (letter == "C" and stage == "push-pull"):
        return "vapor"
    return "utility"


def far_port(bench: Bench, state: State, end: str) -> tuple[str, list[str]]:
    """Where a hose end leads: the port beyond any fittings in line, and those fittings' names in order."""
    passed: list[str] = []
    port = state.mates.get(end)
    while port is not None and bench.part_of(port).kind in FITTINGS:
        part = bench.part_of(port)
        passed.append(part.name)
        through = next(item.id for item in part.ports if item.id != port and not item.valved)
        port = state.mates.get(through)
    return port or "", passed


def hose_list(rig: Rig, stage: str, state: State) -> tuple[HoseLine, ...]:
    """One line a hose that is joined at both ends."""
    lines = []
    for letter in rig.letters:
        ends = []
        for end in (f"{letter}1", f"{letter}2"):
            port, passed = far_port(rig.bench, state, end)
            name = rig.bench.port_name(port) if port else ""
            ends.append(
                t("{port}, through {fittings}", port=name, fittings=t(", ").join(passed)) if passed and name else name
            )
        if not all(ends):
            continue
        # from where it comes: C and D start at their first end, A and B at the appliance; push-pull's B runs to it
        start, finish = (ends[1], ends[0]) if letter == "B" and stage == "push-pull" else (ends[0], ends[1])
        hose = rig.kit.hoses[letter]
        offs = [rig.bench.port_name(port) for port in rig.shut_offs(letter)]
        lines.append(
            HoseLine(
                letter=letter,
                from_port=start,
                to_port=finish,
                carries=carries(letter, stage),
                color=t(COLORS[carries(letter, stage)]),
                shut_off_at=t(", ").join(offs) if offs else t("none"),
                hose_id=hose.id,
                length_ft=hose.length_ft,
            )
        )
    return tuple(lines)
