"""A search that goes as deep as a day has jobs, without a frame of Python's own for each of them."""

from collections.abc import Callable, Generator

# asks for what is deeper by the arguments it yields, is sent what that gave, and returns what it gives itself
Walk = Generator[tuple[object, ...], bool, bool]


def walked(walk: Callable[..., Walk], *start: object) -> bool:
    """What `walk(*start)` gives, where each step down is another `walk`: Python refuses a thousand calls in one another."""
    under_way = [walk(*start)]
    given: bool | None = None
    while under_way:
        try:
            deeper = next(under_way[-1]) if given is None else under_way[-1].send(given)
        except StopIteration as end:
            under_way.pop()
            given = bool(end.value)
        else:
            under_way.append(walk(*deeper))
            given = None
    return bool(given)
