"""What people do and know: weighing, water and compressor, duties done, holds initialled."""

from collections.abc import Iterator

from packet.hookup.effects.on import On
from packet.hookup.holds import claims
from packet.hookup.parts import cylinder_part
from packet.words import t


def weigh_before(on: On) -> Iterator[str]:
    """A cylinder is weighed before any hose is on it."""
    cylinder = on.bench.parts[cylinder_part(on.effect.what)]
    if any(port.id in on.state.mates for port in cylinder.ports):
        yield t("{cylinder} is weighed with a hose on it", cylinder=cylinder.name)
    if "scale-check" not in on.state.done:
        yield t("{cylinder} is weighed before the scale was checked", cylinder=cylinder.name)
    on.state.gross_lb[cylinder.name] = on.effect.amount


def weigh_after(on: On) -> Iterator[str]:
    """A cylinder is weighed again, hoses off: 49 CFR 173.304a(c)."""
    cylinder = on.bench.parts[cylinder_part(on.effect.what)]
    if any(port.id in on.state.mates for port in cylinder.ports):
        yield t("{cylinder} is weighed with a hose on it", cylinder=cylinder.name)
    on.state.done = on.state.done | {f"weigh-after:{cylinder.name}"}


def water(on: On) -> Iterator[str]:
    """A chiller's water moves, or stands still again."""
    on.state.water_on = on.effect.to == "on"
    on.state.done = on.state.done | {"water"}
    return iter(())


def compressor(on: On) -> Iterator[str]:
    """The appliance's own compressor is started or stopped."""
    if on.state.compressor_on == (on.effect.to == "on"):
        yield t("the compressor stands so already: the step changes nothing")
    on.state.compressor_on = on.effect.to == "on"
    on.state.done = on.state.done | {"compressor-ran"}


def did(on: On) -> Iterator[str]:
    """A duty is done."""
    on.state.done = on.state.done | {on.effect.what}
    return iter(())


def person(on: On) -> Iterator[str]:
    """Somebody is asked to do something: a person named in a step exists."""
    if on.effect.what not in on.rules.people:
        yield t("a step asks for a person whom the job does not name: {who}", who=on.effect.what)
    on.state.done = on.state.done | {f"person:{on.effect.what}"}


def hold(on: On) -> Iterator[str]:
    """A hold is initialled: what it claims is so, and is now in force."""
    yield from claims(on.bench, on.state, on.rules, on.effect.what)
    on.state.done = on.state.done | {f"hold:{on.effect.what}"}
    on.state.in_force = on.state.in_force | {on.effect.what}
