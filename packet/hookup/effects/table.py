"""Effects, executed: which function does which, and what has to be worked out again after it."""

from collections.abc import Callable, Iterator

from packet.hookup.acts import Effect
from packet.hookup.effects.gas import evacuated, nitrogen, pump, purge, sweep
from packet.hookup.effects.gauges import read
from packet.hookup.effects.joints import confirm, connect, core, disconnect, ensure, move
from packet.hookup.effects.machine import cleared, mode
from packet.hookup.effects.on import On
from packet.hookup.effects.people import compressor, did, hold, person, water, weigh_after, weigh_before
from packet.hookup.effects.progress import drained, drawn, dry, fill, rise
from packet.hookup.parts import Bench
from packet.hookup.rules import Rules
from packet.hookup.state import State

# after these, other spaces may be open to one another
TOUCHES = frozenset({"connect", "disconnect", "move", "ensure", "mode", "pump"})


def apply(bench: Bench, state: State, effect: Effect, rules: Rules) -> list[str]:
    """Execute one effect on `state`; the sentences of what it breaches. Raises KeyError for what is not on the bench."""
    breaches = list(_DO[effect.op](On(bench, state, effect, rules)))
    if effect.op in TOUCHES:
        state.joined = None
    return breaches


_Do = Callable[[On], Iterator[str]]


_DO: dict[str, _Do] = {
    "connect": connect,
    "disconnect": disconnect,
    "move": move,
    "ensure": ensure,
    "confirm": confirm,
    "mode": mode,
    "purge": purge,
    "pump": pump,
    "evacuated": evacuated,
    "read": read,
    "core": core,
    "nitrogen": nitrogen,
    "sweep": sweep,
    "person": person,
    "fill": fill,
    "dry": dry,
    "drained": drained,
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
