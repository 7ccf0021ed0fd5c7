"""Where gas goes when spaces are open to one another: what every hose holds after a step."""

from packet.hookup.parts import FITTINGS, Bench
from packet.hookup.state import AIR, DISCHARGE_SIDE, SUCTION_SIDE, Content, Joined, State

APPLIANCE_LIQUID = "appliance.liquid-side"
APPLIANCE_VAPOR = "appliance.vapor-side"
VESSELS = frozenset({"appliance", "receiver", "cylinder"})
INSIDE_MACHINE = frozenset({SUCTION_SIDE, DISCHARGE_SIDE})


def source_in(bench: Bench, state: State, spaces: list[str]) -> Content | None:
    """What a vessel among `spaces` would let out into them: liquid before vapor; None where there is no vessel.

    A cylinder gives liquid by its dip tube only when it holds gas, and the walk lets none flow back; for what a hose
    may hold it counts as liquid. An appliance gives liquid at its liquid side until that has run dry.
    """
    found: Content | None = None
    for space in spaces:
        if bench.kind_of_space[space] in VESSELS and state.holds[space] != "vacuum":
            if space == APPLIANCE_LIQUID and state.liquid_left:
                return "liquid"
            if space.endswith(".dip-tube"):
                found = found or "liquid"
                continue
            if state.at_zero and bench.kind_of_space[space] == "appliance":
                found = found or "nitrogen"
                continue
            found = "vapor" if found is None or bench.kind_of_space[space] == "appliance" else found
    return found


def settle(bench: Bench, state: State, joined: Joined) -> None:
    """Let every hose, fitting and manifold take on what it is open to.

    Air stays where it is until it is purged or drawn out: gas on top of it does not make it clean. A cylinder fills
    what holds less than it (vacuum, a drawn hose) but does not push liquid back into a hose that stands at its own
    pressure. What is open to the room holds air.
    """
    if state.mode not in {"off", "clear"} and state.valves["machine.suction"] != "closed":
        state.machine_cleared = False  # it draws: it holds refrigerant until it is cleared
    for spaces in joined.groups():
        if AIR in spaces:
            for space in spaces:
                if space != AIR and bench.kind_of_space[space] not in VESSELS and space not in INSIDE_MACHINE:
                    if state.holds[space] in {"vapor", "liquid"} and bench.kind_of_space[space] not in FITTINGS:
                        state.vented = bench.part_of_space[space]
                    state.holds[space] = "air"
            continue
        source = source_in(bench, state, spaces)
        pushed = _pushed_by_machine(state, spaces)
        if source is None and pushed is None:
            _equalize(bench, state, spaces)
            continue
        _no_longer_empty(bench, state, spaces)
        from_appliance = APPLIANCE_LIQUID in spaces or APPLIANCE_VAPOR in spaces
        for space in spaces:
            if bench.kind_of_space[space] in VESSELS or space in INSIDE_MACHINE:
                continue
            held = state.holds[space]
            if held in {"air", "nitrogen"}:
                continue
            if pushed is not None:
                state.holds[space] = pushed
            elif source is not None and (from_appliance or held in {"vacuum", "drawn"}):
                state.holds[space] = _as_drawn(state, source)


def _equalize(bench: Bench, state: State, spaces: list[str]) -> None:
    """A charged hose that is opened to a vacuum fills it."""
    if any(state.holds[space] in {"vapor", "liquid"} for space in spaces):
        _no_longer_empty(bench, state, spaces)
    empty = [
        space
        for space in spaces
        if state.holds[space] == "vacuum"
        and bench.kind_of_space[space] not in {"machine", "pump-hose", "pump", "nitrogen", "cylinder"}
    ]
    if empty and any(state.holds[space] in {"vapor", "liquid"} for space in spaces):
        state.met_vacuum = True
        for space in empty:
            state.holds[space] = "vapor"


def _no_longer_empty(bench: Bench, state: State, spaces: list[str]) -> None:
    """An evacuated cylinder that refrigerant has reached holds some."""
    for space in spaces:
        if bench.kind_of_space[space] == "cylinder" and state.holds[space] == "vacuum":
            for other in bench.parts[bench.part_of_space[space]].spaces:
                state.holds[other] = "store"


def _as_drawn(state: State, source: Content) -> Content:
    """An appliance at its target gives next to nothing: what is open to it stands as low as it does."""
    return "drawn" if state.drawn and source == "vapor" else source


def _pushed_by_machine(state: State, spaces: list[str]) -> Content | None:
    """What the running machine pushes into these spaces: condensed liquid, or hot gas in push-pull; else None."""
    if DISCHARGE_SIDE not in spaces or not state.running or state.machine_cleared:
        return None
    if state.mode == "clear":
        return None
    return "vapor" if state.mode == "push-pull" else "liquid"


def clear_of(bench: Bench, state: State, spaces: list[str], content: Content) -> None:
    """Everything among `spaces` that is neither vessel nor room now holds `content`."""
    for space in spaces:
        if space != AIR and bench.kind_of_space[space] not in VESSELS:
            state.holds[space] = content
