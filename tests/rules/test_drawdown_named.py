"""The classes that 40 CFR 82.152 names by example win over the computed pressure."""

import pytest

from packet.refrigerant.catalogue import find
from packet.refrigerant.properties import properties
from packet.rules.drawdown import CLASS_AT_F, NAMED_CLASSES, possible_classes
from tests.published import published

NAMED = {
    name: group.replace(" ", "-")
    for group, names in published()["pressure_class_named_by_the_rule"][0].items()
    for name in names
}


def test_the_table_is_the_rules_own_list() -> None:
    """published.yaml: the examples named in the definitions of 40 CFR 82.152."""
    assert NAMED_CLASSES == NAMED


@pytest.mark.parametrize("name", NAMED)
def test_the_computed_class_does_not_contradict_the_named_one(name: str) -> None:
    """40 CFR 82.152, its limits (45, 170, 355 psia at 104 °F) against its examples."""
    values = properties(find(name))
    hot = values.highest_F >= CLASS_AT_F
    possible = possible_classes(values.bubble_psia(CLASS_AT_F) if hot else None, values.pressure_error_percent or 0.0)
    assert NAMED[name] in possible
    assert len(possible) == 1 or name == "R-500"
