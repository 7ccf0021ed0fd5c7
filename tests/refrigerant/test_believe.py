"""What is remembered of a composition is believed only within known departures from ideal mixing."""

import json
import os
import random
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from packet.refrigerant import believe, memory, packaged, write_curves
from packet.refrigerant.believe import believable
from packet.refrigerant.build import compute_own
from packet.refrigerant.catalogue import everything, find
from packet.refrigerant.computed import Computed, NoProperties, from_plain, to_plain
from packet.refrigerant.own import name_from
from packet.refrigerant.properties import OWN_WAYS, properties

OWN = find("R-22 62 % + R-134a 38 %")


@pytest.fixture(autouse=True)
def own_memory(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setenv("PACKET_MEMORY", str(tmp_path / "memory"))
    properties.cache_clear()
    yield tmp_path / "memory"
    properties.cache_clear()


@pytest.fixture(scope="module")
def kept() -> Computed:
    return compute_own(OWN.name, OWN.composition)


@pytest.mark.parametrize("name", [item.name for item in everything() if write_curves.computable(item)])
def test_every_catalogued_refrigerant_would_be_believed(name: str) -> None:
    """The departures that are allowed are those of real blends, azeotropes and all."""
    found = packaged.read(name)
    assert found is not None
    computed = replace(from_plain(found["curves"]), density_error_percent=1.0, pressure_error_percent=1.0)
    assert believable(find(name).composition, computed)


def test_what_the_library_computes_for_mixtures_is_believed() -> None:
    """Else they would be solved anew each time: mixtures of what is met in the field, in twelve proportions."""
    common = ("R-22", "R-134a", "R-410A", "R-404A", "R-407C", "R-32", "R-12", "R-290", "R-454B")
    chance, computed = random.Random(3), 0
    for _ in range(12):
        first, second = chance.sample(common, 2)
        share = chance.uniform(5.0, 95.0)
        item = find(name_from([(first, share), (second, 100.0 - share)]))
        try:
            found = compute_own(item.name, item.composition)
        except NoProperties:
            continue
        computed += 1
        assert believable(item.composition, found), item.name
    assert computed >= 9


SPOILED: list[tuple[str, Callable[[Computed], Computed]]] = [
    ("liquid 25 % heavier", lambda it: replace(it, liquid=tuple(1.25 * value for value in it.liquid))),
    ("liquid 10 % lighter", lambda it: replace(it, liquid=tuple(0.90 * value for value in it.liquid))),
    ("bubble halved", lambda it: replace(it, ln_bubble=(it.ln_bubble[0] - 0.7, *it.ln_bubble[1:]))),
    ("bubble doubled", lambda it: replace(it, ln_bubble=(it.ln_bubble[0] + 0.7, *it.ln_bubble[1:]))),
    ("dew above bubble", lambda it: replace(it, ln_dew=(it.ln_bubble[0] + 0.01, *it.ln_bubble[1:]))),
    ("vapor doubled", lambda it: replace(it, ln_vapor=(it.ln_vapor[0] + 0.7, *it.ln_vapor[1:]))),
    ("another molar mass", lambda it: replace(it, molar_mass_kg=it.molar_mass_kg * 1.001)),
    ("no error", lambda it: replace(it, density_error_percent=None)),
    ("not monotonic", lambda it: replace(it, liquid=(it.liquid[0], -it.liquid[1], *it.liquid[2:]))),
    ("waves", lambda it: replace(it, liquid=(*it.liquid[:8], it.liquid[8] + 12.0, *it.liquid[9:]))),
    ("not a number", lambda it: replace(it, liquid=(float("nan"), *it.liquid[1:]))),
    ("infinite", lambda it: replace(it, ln_dew=(float("inf"), *it.ln_dew[1:]))),
    ("words for numbers", lambda it: replace(it, liquid=("a", "b"))),  # type: ignore[arg-type]
    ("a number for a list", lambda it: replace(it, liquid=3.0)),  # type: ignore[arg-type]
    ("true for a number", lambda it: replace(it, lowest_K=True)),
    ("upside down", lambda it: replace(it, lowest_K=it.highest_K, highest_K=it.lowest_K)),
    ("critical below its range", lambda it: replace(it, critical_K=300.0)),
    ("a hundred thousand terms", lambda it: replace(it, liquid=(*it.liquid, *[0.0] * 100_000))),
]


@pytest.mark.parametrize(("what", "spoil"), SPOILED, ids=[what for what, _ in SPOILED])
def test_what_was_changed_is_not_believed(what: str, spoil: Callable[[Computed], Computed], kept: Computed) -> None:
    assert believable(OWN.composition, kept)
    assert not believable(OWN.composition, spoil(kept))


def test_another_compositions_curves_are_not_believed(kept: Computed) -> None:
    assert not believable(find("R-22 61 % + R-134a 39 %").composition, kept)


def test_a_plausible_wrong_number_with_a_fitting_digest_moves_no_figure(kept: Computed) -> None:
    """The memory's own writer put it there: digest and key fit."""
    true = properties(OWN).liquid_lb_per_ft3(131.0)
    properties.cache_clear()
    wrong = replace(kept, liquid=tuple(1.25 * value for value in kept.liquid))
    assert memory.remember(OWN.composition, to_plain(wrong))
    assert properties(OWN).liquid_lb_per_ft3(131.0) == true
    # and it was put right
    properties.cache_clear()
    found = memory.recall(OWN.composition)
    assert found is not None
    assert believable(OWN.composition, from_plain(found))


@pytest.mark.parametrize(
    "payload", [3, "text", [1, 2], {"a": 1}, {"lowest_K": 1.0}, None, {"way": "own"}, [[[[[]]]]], True]
)
def test_another_shape_with_a_fitting_digest_is_computed_again(payload: Any) -> None:
    memory.remember(OWN.composition, payload)
    assert properties(OWN).bubble_psia(70.0) > 0.0


def test_a_catalogues_way_is_no_compositions(kept: Computed) -> None:
    """An own gas always has an error: curves without one are not taken from the memory."""
    assert kept.way in OWN_WAYS
    memory.remember(OWN.composition, to_plain(replace(kept, way="", density_error_percent=0.001)))
    assert properties(OWN).density_error_percent == kept.density_error_percent


def _place() -> Path:
    properties(OWN)
    (path,) = memory.folder().iterdir()
    properties.cache_clear()
    return path


@pytest.mark.parametrize(
    "what", ["pipe", "pipe with a writer", "folder", "sparse", "nested", "link to itself", "device", "two megabytes"]
)
def test_anything_in_a_files_place_costs_only_time(what: str) -> None:
    """Read in a process of its own, with little memory and a time limit: nothing hangs, nothing is read whole."""
    path = _place()
    path.unlink()
    writer = None
    if what.startswith("pipe"):
        os.mkfifo(path)
        writer = os.open(path, os.O_RDWR) if what == "pipe with a writer" else None
    elif what == "folder":
        path.mkdir()
    elif what == "sparse":
        with path.open("wb") as file:
            file.truncate(2_500_000_000)
    elif what == "nested":
        path.write_text("[" * 60_000, encoding="utf-8")
    elif what == "link to itself":
        path.symlink_to(path.name)
    elif what == "device":
        path.symlink_to("/dev/zero")
    else:
        path.write_text(json.dumps(["a" * 2_000_000]), encoding="utf-8")
    script = (
        "import resource; resource.setrlimit(resource.RLIMIT_AS, (400_000_000, 400_000_000))\n"
        f"from packet.refrigerant import memory; print(memory.recall({OWN.composition!r}))\n"
    )
    answer = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, timeout=20, check=False)
    assert (answer.stdout, answer.stderr) == ("None\n", "")
    assert memory.recall(OWN.composition) is None
    if writer is not None:
        os.close(writer)
    assert properties(OWN).bubble_psia(70.0) > 0.0


def test_random_damage_never_gives_a_figure_that_cannot_be(kept: Computed) -> None:
    """2,000 single changes of a remembered file's numbers, digest made to fit: refused, or within the known departures
    at both fixed points."""
    chance = random.Random(11)
    plain = to_plain(kept)
    for _ in range(2000):
        changed = json.loads(json.dumps(plain))
        field = chance.choice(["ln_bubble", "ln_dew", "liquid", "ln_vapor"])
        place = chance.randrange(len(changed[field]))
        changed[field][place] = chance.choice(
            [None, "x", [], 1e308, -1.0, 0.0, True, changed[field][place] * chance.uniform(-3.0, 3.0)]
        )
        try:
            found = from_plain(changed)
        except TypeError:
            continue
        if believable(OWN.composition, found):
            for T_K in believe._two_points(OWN.composition, found):
                true, ours = believe._at(kept, "liquid", T_K), believe._at(found, "liquid", T_K)
                assert ours == pytest.approx(true, rel=0.1)
