"""Names, composition, safety group, room limit, transport and warming potential of every refrigerant we answer for."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Refrigerant:
    """A refrigerant as standards and regulations describe it.

    name: ASHRAE 34 designation ('R-410A'). composition: nominal mass fractions by designation, one part for a pure
    fluid. room_limit_lb_per_1000ft3: the refrigerant concentration limit, None where none is given. hazard_class:
    '2.1', '2.2', '2.3' or None when it is not a Class 2 gas. answer: what to do instead, for gases that are not
    recovered like the others (R-744, R-717); empty for the rest.
    """

    name: str
    composition: tuple[tuple[str, float], ...]
    safety_group: str
    room_limit_lb_per_1000ft3: float | None
    room_limit_source: str
    un_number: str | None
    proper_shipping_name: str | None
    hazard_class: str | None
    gwp100: float
    gwp_source: str
    composition_source: str
    ozone_depleting: bool
    hfc: bool
    exempt_venting_uses: bool = False
    answer: str = ""

    @property
    def flammable(self) -> bool:
        """ASHRAE 34 class 2L, 2 or 3."""
        return self.safety_group[1:2] in {"2", "3"}

    @property
    def toxic(self) -> bool:
        """ASHRAE 34 class B."""
        return self.safety_group.startswith("B")

    @property
    def is_blend(self) -> bool:
        """More than one component."""
        return len(self.composition) > 1
