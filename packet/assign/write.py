"""Putting cylinders, machine and scale into job files; how words are changed in place is `packet.shop.edit`."""

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from packet.shop.edit import EditError, Value, with_values
from packet.shop.whole import sweep_old, write_whole


@dataclass(frozen=True, slots=True)
class AssignedFile:
    """What to put into one job file; None leaves a key alone."""

    path: Path
    cylinders: tuple[str, ...] | None = None
    machine: str | None = None
    scale: str | None = None


def write_assignment(changes: Iterable[AssignedFile]) -> tuple[Path, ...]:
    """Put the changes into the job files; the paths of those that became different.

    All new texts are made before the first file is written, and each is written whole or not at all. Raises
    EditError, naming the file, when one cannot be changed safely (then none is written), OSError.
    """
    texts: list[tuple[Path, bytes]] = []
    for change in changes:
        before = change.path.read_bytes()
        try:
            after = with_assignment(before.decode(), change).encode()
        except EditError as error:
            raise EditError(f"{change.path}: {error}") from error
        if after != before:
            texts.append((change.path, after))
    for path, after in texts:
        sweep_old(path)
        write_whole(path, after)
    return tuple(path for path, _ in texts)


def with_assignment(text: str, change: AssignedFile) -> str:
    """The text of a job file with what the change names. Raises EditError where that cannot be done in place."""
    wanted: dict[tuple[str, ...], Value] = {}
    if change.machine is not None:
        wanted["machine",] = change.machine
    if change.scale is not None:
        wanted["scale",] = change.scale
    if change.cylinders is not None:
        wanted["cylinders",] = change.cylinders
    return with_values(text, wanted)
