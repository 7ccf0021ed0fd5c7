"""Ports of an appliance: their kinds, or their names alone. Common practice, no source."""

import pytest
from pydantic import ValidationError

from packet.shop.records import Ports


def test_a_bare_list_leaves_the_kinds_unstated() -> None:
    ports = Ports.model_validate(["vapor"])
    assert ports.kind("vapor") == "not-stated"
    assert ports.kind("liquid") is None
    assert ports.names == ("vapor",)
    assert "liquid" not in ports


def test_nothing_said_means_both_ports_of_unstated_kind() -> None:
    for said in ({}, {"liquid": None, "vapor": None}):
        assert Ports.model_validate(said) == Ports(liquid="not-stated", vapor="not-stated")


def test_kinds_as_typed_and_an_absent_key_is_no_port() -> None:
    ports = Ports.model_validate({"liquid": "king-valve"})
    assert (ports.liquid, ports.vapor, ports.names) == ("king-valve", None, ("liquid",))


@pytest.mark.parametrize("said", [[], ["gas"], ["liquid", "suction"]])
def test_other_names_are_refused(said: list[str]) -> None:
    with pytest.raises(ValidationError):
        Ports.model_validate(said)
