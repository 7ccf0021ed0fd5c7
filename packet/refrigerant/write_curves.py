"""For maintainers: computes the catalogue's curves anew and writes them into the package.

    python -m packet.refrigerant.write_curves            every refrigerant (15 s)
    python -m packet.refrigerant.write_curves R-408A     these

Prints, for each file that changed, by how much its pressures and densities moved; read the rest with `git diff`.
"""

import json
import math
import sys
from pathlib import Path

from packet.refrigerant import packaged
from packet.refrigerant.build import compute
from packet.refrigerant.catalogue import Refrigerant, everything, find
from packet.refrigerant.computed import Computed, from_plain, to_plain
from packet.refrigerant.curve import Curve, nodes
from packet.refrigerant.library import library_name, version
from packet.refrigerant.method import METHOD


def folder() -> Path:
    """Where the files lie: beside this module."""
    return Path(__file__).parent / packaged.FOLDER


def moved_percent(before: Computed, after: Computed) -> float:
    """The largest change of a pressure or a density, percent, where both have figures."""
    low, high = max(before.lowest_K, after.lowest_K), min(before.highest_K, after.highest_K)
    largest = 0.0
    for T_K in nodes(low, high, 9):
        for name in ("ln_bubble", "ln_dew", "ln_vapor", "liquid"):
            one, other = (Curve(item.lowest_K, item.highest_K, getattr(item, name))(T_K) for item in (before, after))
            largest = max(largest, abs(other / one - 1.0 if name == "liquid" else math.expm1(other - one)))
    return 100.0 * largest


def write(item: Refrigerant, place: Path) -> str:
    """Computes and writes one refrigerant's file; what happened to it, in a line ('' when it stayed the same)."""
    computed = compute(item.name, item.composition)
    source = {"library": f"CoolProp {version()}", "method": METHOD}
    text = packaged.to_text(item.name, item.composition, source, to_plain(computed))
    path = place / packaged.file_name(item.name)
    before = path.read_text(encoding="utf-8") if path.exists() else ""
    if text == before:
        return ""
    path.write_text(text, encoding="utf-8")
    if not before:
        return f"{item.name}: new"
    return f"{item.name}: moved by up to {moved_percent(from_plain(json.loads(before)['curves']), computed):.4f} %"


def main(names: list[str]) -> None:
    """Write the files of `names` (designations), or of the whole catalogue, and take away those it no longer has."""
    place = folder()
    place.mkdir(exist_ok=True)
    wanted = [find(name) for name in names] or [item for item in everything() if computable(item)]
    for item in wanted:
        line = write(item, place)
        if line:
            print(line)  # noqa: T201 - a maintainer's command
    if not names:
        keep = {packaged.file_name(item.name) for item in wanted}
        for path in place.glob("*.json"):
            if path.name not in keep:
                path.unlink()


def computable(item: Refrigerant) -> bool:
    """Whether the library has an equation of state for every part."""
    return all(library_name(part) is not None for part, _ in item.composition)


if __name__ == "__main__":
    main(sys.argv[1:])
