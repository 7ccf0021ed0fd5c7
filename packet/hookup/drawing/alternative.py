"""The drawing in words, for who cannot see it: what is joined to what, which valves stand how, where gas flows."""

from packet.hookup.hose_list import hose_list
from packet.hookup.model import HoseLine, LineStyle
from packet.hookup.request import CylinderNeed
from packet.hookup.rig import Rig, listed
from packet.hookup.state import State, ValveState
from packet.words import N_, t

_STAGES = {
    "vapor": N_("Hookup while recovering vapor."),
    "liquid": N_("Hookup while recovering liquid."),
    "push-pull": N_("Hookup during push-pull."),
}
_CARRIES: dict[LineStyle, str] = {
    "liquid": N_("liquid side"),
    "vapor": N_("vapor side"),
    "utility": N_("machine hose"),
    "cable": N_("cable"),
}
_STATES: dict[ValveState, str] = {
    "open": N_("Open: {valves}."),
    "cracked": N_("Throttled: {valves}."),
    "closed": N_("Closed: {valves}."),
}


def alternative_text(
    rig: Rig, state: State, stage: str, cylinder: CylinderNeed, service: tuple[HoseLine, ...] = ()
) -> str:
    """One paragraph, generated from the same rig and state as the drawing."""
    sentences = [t(_STAGES[stage])]
    sentences += [
        t(
            "Hose {letter}, {carries}: from {start} to {finish}.",
            letter=line.letter,
            carries=t(_CARRIES[line.carries]),
            start=line.from_port,
            finish=line.to_port,
        )
        for line in hose_list(rig, stage, state)
    ]
    sentences += [
        t(
            "Hose {letter}, not on while it runs: from {start} to {finish}.",
            letter=line.letter,
            start=line.from_port,
            finish=line.to_port,
        )
        for line in service
    ]
    shown = _drawn_valves(rig, state, cylinder)
    for position, words in _STATES.items():
        names = [rig.valve(valve) for valve in shown if state.valves[valve] == position]
        if names:
            sentences.append(t(words, valves=listed(names)))
    sentences.append(
        t("{cylinder} stands on scale {scale} and is filled.", cylinder=cylinder.id, scale=rig.request.scale)
    )
    after = rig.request.cylinders[rig.request.cylinders.index(cylinder) + 1 :]
    if after:
        sentences.append(t("Next, in this order: {cylinders}.", cylinders=listed([item.id for item in after])))
    return " ".join(sentences)


def _drawn_valves(rig: Rig, state: State, cylinder: CylinderNeed) -> list[str]:
    """Valves of the parts that stand in the drawing: the other cylinders and what is put away are not."""
    shown = []
    for valve in rig.bench.valves:
        part = rig.bench.part_of(valve)
        if part.kind == "cylinder" and part.name != cylinder.id:
            continue
        if part.kind == "receiver" or any(port.id in state.mates for port in part.ports):
            shown.append(valve)
    return shown
