"""What is kept of a refrigerant's computed properties, and the answer when there are none."""

from dataclasses import asdict, dataclass
from typing import Any, Literal

from packet.statements import Statement

# Designations with mass fractions.
Composition = tuple[tuple[str, float], ...]
Way = Literal["", "estimated", "boiling", "fitted", "strange", "own", "own-estimated"]


class NoProperties(ValueError):  # noqa: N818 - it says what there is not
    """No properties to compute with. reason: why, for the user."""

    def __init__(self, reason: Statement) -> None:
        self.reason = reason
        super().__init__(reason)

    def __str__(self) -> str:
        return self.reason.sentence("US")


@dataclass(frozen=True, slots=True)
class Computed:
    """One refrigerant, SI: Chebyshev coefficients over [lowest_K, highest_K] and a few constants.

    ln_bubble, ln_dew: of the pressure in Pa. liquid: kg/m3. ln_vapor: of kg/m3. Errors in percent, None when the
    library computes the refrigerant itself: of the liquid's density, and of the pressures and the vapor's density.
    way: how a blend that is an estimate was come by, and pairs the pairs of parts ('R-22/R-124') it is because of:
    'estimated' (the library has no parameters for them), 'boiling' (nor for these, but the blend was made to boil where
    it is published to), 'fitted' (it has, but from pressures alone), 'strange' (the
    liquid is farther from ideal mixing than blends known to be right), 'own' (given by its composition), 'own-estimated'
    (likewise, and the library has no parameters for these pairs).
    """

    lowest_K: float
    highest_K: float
    critical_K: float
    molar_mass_kg: float
    ln_bubble: tuple[float, ...]
    ln_dew: tuple[float, ...]
    liquid: tuple[float, ...]
    ln_vapor: tuple[float, ...]
    density_error_percent: float | None = None
    pressure_error_percent: float | None = None
    way: Way = ""
    pairs: tuple[str, ...] = ()


def to_plain(computed: Computed) -> dict[str, Any]:
    """As plain JSON values."""
    return asdict(computed)


def from_plain(plain: dict[str, Any]) -> Computed:
    """Back from plain JSON values. Raises TypeError when they are not those of `to_plain`."""
    if not isinstance(plain, dict):
        raise TypeError(type(plain))
    fields: dict[str, Any] = {key: tuple(value) if isinstance(value, list) else value for key, value in plain.items()}
    return Computed(**fields)
