"""What an effect is executed on."""

from typing import NamedTuple

from packet.hookup.acts import Effect
from packet.hookup.parts import Bench
from packet.hookup.rules import Rules
from packet.hookup.state import State

INLET = "machine.suction"


class On(NamedTuple):
    """What an effect is executed on."""

    bench: Bench
    state: State
    effect: Effect
    rules: Rules
