"""Effects, executed: which function does which, and what has to be worked out again after it."""

from collections.abc import Callable, Iterator

from packet.hookup.acts import Effect
from packet.hookup.effects.gas import evacuated, pump, purge
from packet.hookup.effects.joints import confirm, ensure, join, move, part
from packet.hookup.effects.machine import cleared, emptied, mode
from packet.hookup.effects.on import On
from packet.hookup.effects.people import compressor, did, hold, water, weigh_after, weigh_before
from packet.hookup.effects.progress import drained, drawn, dry, fill, rise
from packet.hookup.parts import Bench
from packet.hookup.rules import Rules
from packet.hookup.state import State

# after these, other spaces may be open to one another
TOUCHES = frozenset({"join", "part", "move", "ensure", "mode", "pump"})


def apply(bench: Bench, state: State, effect: Effect, rules: Rules) -> list[str]:
    """Execute one effect on `state`; the sentences of what it breaches. Raises KeyError for what is not on the bench."""
    breaches = list(_DO[effect.op](On(bench, state, effect, rules)))
    if effect.op in TOUCHES:
        state.joined = None
    return breaches


_Do = Callable[[On], Iterator[str]]


_DO: dict[str, _Do] = {
    "join": join,
    "part": part,
    "move": move,
    "ensure": ensure,
    "confirm": confirm,
    "mode": mode,
    "purge": purge,
    "pump": pump,
    "evacuated": evacuated,
    "fill": fill,
    "dry": dry,
    "drained": drained,
    "emptied": emptied,
    "drawn": drawn,
    "rise": rise,
    "cleared": cleared,
    "weigh-before": weigh_before,
    "weigh-after": weigh_after,
    "water": water,
    "compressor": compressor,
    "did": did,
    "hold": hold,
}
