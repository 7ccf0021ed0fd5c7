"""What stands outside `jobs/filed` and remembers its newest record: `jobs/.filed`.

The chain shows that a record between others is gone; that the last one is, or the whole folder (a drive that is not
there), only something beside it can show. It is written after each record, so that it may lag by one.
"""

from dataclasses import dataclass
from pathlib import Path

from packet.document import Shape, ShapeError, data_of, text_of
from packet.shop.whole import OwnFileError, read_whole, write_whole
from packet.words import t

NAME = ".filed"
FORMAT = 1
BEFORE = Path("filed", ".writer", "newest")  # where it stood before, inside what it watches


@dataclass(frozen=True, slots=True)
class Witness:
    """The newest record as its writer noted it."""

    record: int
    digest: str
    format: int = FORMAT


def read_witness(shop_folder: Path) -> Witness | None:
    """What was noted last; None when nothing ever was. Raises OwnFileError when it cannot be read, OSError."""
    path = shop_folder / NAME
    try:
        found = _SHAPE.back(data_of(read_whole(path, 1000)))
    except FileNotFoundError:
        return _before(shop_folder)
    except ShapeError as error:
        raise OwnFileError(path, str(error)) from error
    if found.format != FORMAT:
        known = t("format {found} is not known; this version knows {known}", found=found.format, known=FORMAT)
        raise OwnFileError(path, known)
    return found


def _before(shop_folder: Path) -> Witness | None:
    try:
        number, digest = read_whole(shop_folder / BEFORE, 200).decode("ascii").split()
        return Witness(int(number), digest)
    except (FileNotFoundError, NotADirectoryError, OwnFileError, ValueError):
        return None


def write_witness(shop_folder: Path, witness: Witness) -> None:
    """Note the newest record. Raises OSError."""
    write_whole(shop_folder / NAME, text_of(_SHAPE.out(witness)).encode(), durable=True)


_SHAPE = Shape(Witness)
