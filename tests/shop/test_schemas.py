"""The schemas that editors use agree with the loader, and the committed ones are current."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft7Validator

from packet.shop.schemas import KINDS, FileKind, as_text, json_schema
from packet.shop.text import Node, parse

ROOT = Path(__file__).parents[2]
HERE = Path(__file__).parent


def kind_of(path: Path) -> FileKind:
    return next((kind for kind in KINDS if kind == path.stem), "job")


Complaints = Callable[[FileKind, str], list[str]]


@pytest.fixture
def complaints(as_an_editor_reads: Callable[[Node], Any]) -> Complaints:
    def of(kind: FileKind, text: str) -> list[str]:
        loaded = parse(text, "x.yaml")
        assert loaded.value is not None
        validator = Draft7Validator(json_schema(kind), format_checker=Draft7Validator.FORMAT_CHECKER)
        return [error.message for error in validator.iter_errors(as_an_editor_reads(loaded.value))]

    return of


@pytest.mark.parametrize("kind", KINDS)
def test_the_committed_schema_is_current(kind: FileKind) -> None:
    committed = (ROOT / "templates" / "schemas" / f"{kind}.json").read_text(encoding="utf-8")
    assert committed == as_text(kind), "run: python -m packet.shop.schemas"


@pytest.mark.parametrize("kind", KINDS)
def test_the_schema_is_a_schema(kind: FileKind) -> None:
    Draft7Validator.check_schema(json.loads(as_text(kind)))


FILES = sorted(
    [*ROOT.glob("jobs/*.yaml"), *ROOT.glob("jobs/2*/*.yaml"), *HERE.glob("*/*.yaml"), *HERE.glob("*/*/*.yaml")]
)


@pytest.mark.parametrize("path", FILES, ids=lambda path: "/".join(path.parts[-3:]))
def test_an_editor_accepts_every_file_that_the_loader_accepts(path: Path, complaints: Complaints) -> None:
    assert complaints(kind_of(path), path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "path", sorted([*ROOT.glob("jobs/*.yaml"), *ROOT.glob("jobs/2*/*.yaml")]), ids=lambda path: path.name
)
def test_every_demo_file_names_its_schema(path: Path) -> None:
    first = path.read_text(encoding="utf-8").splitlines()[0]
    target = first.removeprefix("# yaml-language-server: $schema=")
    assert target != first
    assert (path.parent / target).resolve() == ROOT / "templates" / "schemas" / f"{kind_of(path)}.json"


JOB = (HERE / "small" / "2026-11-26" / "J-1.yaml").read_text(encoding="utf-8")
SI_JOB = (HERE / "si" / "2026-11-26" / "J-1.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("text", "old", "new"),
    [
        (JOB, "charge_lb: 38", "charge_lb: -3"),
        (JOB, "charge_lb: 38", "charge_lb: heavy"),
        (JOB, "charge_lb: 38", "charge_lb: 38\n  charge_kg: 17"),
        (JOB, "  charge_lb: 38\n", ""),
        (JOB, "charge_lb: 38", "charge_lbs: 38"),
        (JOB, "charge_lb: 38", "charge_lb:"),
        (JOB, "date: 2026-11-26", "date: 2026-02-30"),
        (JOB, "date: 2026-11-26", "date: 26.11.2026"),
        (JOB, "start: 08:30", "start: 25:61"),
        (JOB, "space: basement", "space: cellar"),
        (JOB, "kind: walk-in", "kind: walkin"),
        (JOB, "ambient_F: 78", "ambient_F: 500"),
        (JOB, "job: J-1", "job: ../J-1"),
        (JOB, "[C-1, C-2]", "[C-1, C-1]"),
        (JOB, "technician: ann\n", ""),
        (SI_JOB, "receiver: yes", "receiver: maybe"),
        (SI_JOB, "ambient_C: 25", "ambient_C: 78"),
        (SI_JOB, "elevation_m: 1609.344", "elevation_m: 9000"),
    ],
)
def test_an_editor_marks_what_the_loader_refuses(text: str, old: str, new: str, complaints: Complaints) -> None:
    assert complaints("job", text) == []
    assert text.count(old) == 1
    assert complaints("job", text.replace(old, new)) != []


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("cylinders", "- {id: C-1, spec: DOT-4BA400, water_capacity_lb: 26, water_capacity_l: 12, tare_lb: 17}"),
        ("cylinders", "- {id: C-1, spec: DOT-4BA400, water_capacity_lb: 26}"),
        ("cylinders", "{id: C-1}"),
        ("machines", "machines: [{id: RM-1, made: 2019-13}]"),
        ("machines", "machines: [{id: RM-1, made: 2019-05, rates_kg_per_min: {liquid: -2}}]"),
        ("machines", "kit: {hoses: [{id: H, length_ft: 5, bore_in: 0.25, rating_psig: 800, shut_off: both}]}"),
        ("machines", "kit: {manifolds: [{id: M, rating_psig: 800, valves: 3}]}"),
        ("technicians", "- {id: ann, name: Ann, certification: [type-IV]}"),
        ("shop", "{company: A, phone: 555-0100, emergency_phone: 555-0100, records_url: ftp://x.example}"),
        (
            "shop",
            "{company: A, phone: 555-0100, emergency_phone: 555-0100, records_url: https://x.example, policy: {fill_ceiling_percent: 85}}",
        ),
    ],
)
def test_an_editor_marks_slips_in_the_registers(kind: FileKind, text: str, complaints: Complaints) -> None:
    assert complaints(kind, text) != []


def test_a_bound_is_told_in_the_unit_of_its_key() -> None:
    site = json_schema("job")["properties"]["site"]["properties"]
    assert site["elevation_ft"]["anyOf"][0]["maximum"] == 20_000
    assert site["elevation_m"]["anyOf"][0]["maximum"] == pytest.approx(6096)
