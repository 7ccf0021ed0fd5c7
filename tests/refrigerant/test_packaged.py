"""The curves that come with the code: that they are what the installed property library gives, and nothing else."""

import json
import math
from pathlib import Path

import pytest

from packet.refrigerant import packaged, write_curves
from packet.refrigerant.catalogue import everything, find
from packet.refrigerant.computed import Computed, from_plain, to_plain
from packet.refrigerant.curve import Curve
from packet.refrigerant.method import METHOD
from packet.refrigerant.properties import properties
from tests.refrigerant.fresh import computed_again

# An upgrade of the library may not move a pressure or a density by more than this unseen.
UNSEEN_PERCENT = 0.02
KEPT = [item.name for item in everything() if write_curves.computable(item)]


def _kept(name: str) -> Computed:
    found = packaged.read(name)
    assert found is not None
    return from_plain(found["curves"])


@pytest.mark.parametrize("name", KEPT)
def test_each_curve_is_what_the_installed_library_computes(name: str) -> None:
    """The whole refrigerant solved again: range, series, critical point and stated errors."""
    kept, again = _kept(name), computed_again(name)
    assert write_curves.moved_percent(kept, again) <= UNSEEN_PERCENT
    assert kept.highest_K == pytest.approx(again.highest_K, abs=0.02)
    assert kept.critical_K == pytest.approx(again.critical_K, abs=0.02)
    assert kept.molar_mass_kg == pytest.approx(again.molar_mass_kg, rel=1e-9)
    for error in ("pressure_error_percent", "density_error_percent"):
        assert getattr(kept, error) == pytest.approx(getattr(again, error), abs=0.02)
    assert (kept.way, kept.pairs) == (again.way, again.pairs)


def test_each_file_says_what_it_was_computed_with_and_is_written_canonically() -> None:
    """Of this text of the modules: whoever changes them runs `python -m packet.refrigerant.write_curves`."""
    for name in KEPT:
        found = packaged.read(name)
        assert found is not None
        assert found["source"]["method"] == METHOD, "run python -m packet.refrigerant.write_curves"
        assert found["source"]["library"].startswith("CoolProp ")
        text = packaged.to_text(name, find(name).composition, found["source"], found["curves"])
        assert (write_curves.folder() / packaged.file_name(name)).read_text(encoding="utf-8") == text


def test_there_is_a_file_for_each_computable_refrigerant_and_no_other() -> None:
    assert sorted(path.stem for path in write_curves.folder().glob("*")) == sorted(KEPT)
    assert {item.name for item in everything()} - set(KEPT) == {"R-13B1"}


def test_a_curve_is_not_taken_for_another_composition() -> None:
    item = find("R-410A")
    assert packaged.curves(item.name, item.composition) is not None
    assert packaged.curves(item.name, (("R-32", 0.45), ("R-125", 0.55))) is None
    assert packaged.curves("R-410A of our own", item.composition) is None


def test_the_properties_are_the_curves_kept() -> None:
    kept = _kept("R-404A")
    curve = Curve(kept.lowest_K, kept.highest_K, kept.ln_bubble)
    assert properties(find("R-404A")).bubble_psia(77.0) * 6894.757293168 == pytest.approx(math.exp(curve(298.15)))


def test_what_moved_is_told(tmp_path: Path) -> None:
    """The maintainer's command: new, the same, moved."""
    item = find("R-22")
    assert write_curves.write(item, tmp_path) == "R-22: new"
    assert write_curves.write(item, tmp_path) == ""
    kept = _kept("R-22")
    heavier = Computed(**{**to_plain(kept), "liquid": tuple(1.001 * value for value in kept.liquid)})
    assert write_curves.moved_percent(kept, heavier) == pytest.approx(0.1)
    hotter = Computed(**{**to_plain(kept), "ln_dew": (kept.ln_dew[0] + 0.002, *kept.ln_dew[1:])})
    assert write_curves.moved_percent(kept, hotter) == pytest.approx(0.2002, abs=1e-4)
    path = tmp_path / packaged.file_name("R-22")
    whole = json.loads(path.read_text(encoding="utf-8"))
    path.write_text(packaged.to_text("R-22", item.composition, {"library": "CoolProp 0"}, whole["curves"]))
    assert write_curves.write(item, tmp_path) == "R-22: moved by up to 0.0000 %"
    path.write_text(packaged.to_text("R-22", item.composition, {"library": "CoolProp 0"}, to_plain(heavier)))
    assert write_curves.write(item, tmp_path) == "R-22: moved by up to 0.0999 %"
