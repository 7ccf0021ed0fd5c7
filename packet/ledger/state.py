"""The state of every cylinder at a moment: the register's opening figure plus everything filed since."""

from collections.abc import Mapping
from dataclasses import dataclass

from packet.shop.records import Registers


@dataclass(frozen=True, slots=True)
class CylinderState:
    """What a cylinder holds, and where that is known from.

    refrigerant: designation as typed, 'mixed', or None when empty and evacuated. came_from: the job (filed, or planned
    earlier the same day) that left it so; empty when it is the register's opening figure. planned: it rests on a plan
    that has not been filed yet.
    """

    id: str
    refrigerant: str | None
    contents_lb: float
    came_from: str = ""
    planned: bool = False


def opening(registers: Registers) -> Mapping[str, CylinderState]:
    """The register's own figures, by cylinder id."""
    return {
        item.id: CylinderState(item.id, None if item.refrigerant == "empty" else item.refrigerant, item.contents_lb)
        for item in registers.cylinders
    }
