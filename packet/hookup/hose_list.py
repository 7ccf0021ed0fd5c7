"""The hose list of a hookup, read off the joints as they stand while it runs, and while pump and nitrogen are on."""

from packet.hookup.acts import Block
from packet.hookup.model import HoseLine, LineStyle
from packet.hookup.parts import FITTINGS, Bench
from packet.hookup.rig import Rig
from packet.hookup.state import State
from packet.words import N_, pt, t

# The trade's colors, by what a hose carries; the kit's own hoses may be of another color.
UTILITY: LineStyle = "utility"
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
    while port is not None and bench.part_of(port).kind in FITTINGS and not bench.ports[port].valved:
        part = bench.part_of(port)
        passed.append(part.name)
        through = next(item.id for item in part.ports if item.id != port and not item.valved)
        port = state.mates.get(through)
    return port or "", passed


def hose_list(rig: Rig, stage: str, state: State) -> tuple[HoseLine, ...]:
    """One line a hose that is connected at both ends."""
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
        # the one that isolates a port, too: without it the hose that is taken would not do
        offs = [rig.bench.port_name(port.id) for port in rig.bench.parts[f"hose:{letter}"].ports if port.valved]
        lines.append(
            HoseLine(
                letter=letter,
                from_port=start,
                to_port=finish,
                carries=carries(letter, stage),
                color=t(COLORS[carries(letter, stage)]),
                shut_off_at=tuple(offs) or (pt("shut-off", "none"),),
                hose_id=hose.id,
                length_ft=hose.length_ft,
            )
        )
    return tuple(lines)


def service_hoses(rig: Rig, blocks: list[Block]) -> tuple[HoseLine, ...]:
    """Hose P while it evacuates and the nitrogen's hose, as these groups connect them."""
    lines = []
    for effect in (effect for block in blocks for line in block.lines for act in line.acts for effect in act.effects):
        if effect.op != "connect" or effect.what not in {"micron.out", "nitrogen.out", "header.two"}:
            continue
        lines.append(_pump_line(rig, effect.to) if effect.what != "nitrogen.out" else _nitrogen_line(rig, effect.to))
    first: dict[str, HoseLine] = {}
    for item in lines:
        # both tees through a header count once, as the last one says; a second pull by itself is a line of its own
        first.setdefault(f"{item.letter} {item.to_port}", item)
    headed = "header" in rig.bench.parts and any(item.to_port.endswith(t("both tees")) for item in first.values())
    return tuple(
        item
        for item in first.values()
        if not (headed and item.letter == "P" and not item.to_port.endswith(t("both tees")))
    )


def _service_port(rig: Rig, port: str) -> str:
    if port == "manifold.vacuum":
        return t("manifold vacuum port")
    return t("branch of the {tee}", tee=rig.bench.part_of(port).name)


def _pump_line(rig: Rig, port: str) -> HoseLine:
    hose = rig.kit.hoses["P"]
    headed = rig.bench.part_of(port).kind == "header" or (port == "tee-cylinder.branch" and rig.kit.header is not None)
    to = (
        t("micron gauge, two-way header, both tees")
        if headed
        else t("micron gauge, {port}", port=_service_port(rig, port))
    )
    offs = [rig.bench.port_name(end) for end in rig.shut_offs("P")]
    return HoseLine(
        "P",
        t("vacuum pump"),
        to,
        UTILITY,
        t(COLORS[UTILITY]),
        tuple(offs) or (pt("shut-off", "none"),),
        hose.id,
        hose.length_ft,
    )


def _nitrogen_line(rig: Rig, port: str) -> HoseLine:
    return HoseLine(
        "N",
        t("nitrogen regulator"),
        _service_port(rig, port),
        UTILITY,
        t(COLORS[UTILITY]),
        (t("regulator"),),
        t("own"),
        0.0,
    )
