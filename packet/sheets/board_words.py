"""A stop or a caution in the one or two words that fit the day board; the packet's sheets have its sentence."""

from packet.figures import show_temperature, show_weight
from packet.rules.carriage import PER_TRUCK_LB
from packet.rules.fill import HOT_F
from packet.units import UnitSystem
from packet.words import N_, t

BOARD_WORDS = {
    # stops
    "technician-not-certified": N_("technician not certified"),
    "apprentice-needs-supervisor": N_("apprentice needs supervisor"),
    "machine-system-dependent": N_("machine system-dependent"),
    "machine-not-for-refrigerant": N_("machine not for refrigerant"),
    "machine-not-flammable-rated": N_("machine not rated for flammable"),
    "machine-pressure-too-low": N_("machine pressure too low"),
    "cylinder-non-refillable": N_("cylinder not refillable"),
    "cylinder-out-of-test": N_("cylinder out of test"),
    "cylinder-packaging": N_("cylinder service pressure"),
    "cylinder-pressure-131F": N_("cylinder pressure at {hot}"),
    "cylinder-pressure-70F": N_("cylinder pressure at {warm}"),
    "cylinder-other-contents": N_("cylinder holds another gas"),
    "cylinder-out-of-service": N_("cylinder out of service"),
    "cylinder-not-flammable-rated": N_("cylinder not rated for flammable"),
    "cylinder-spec-unknown": N_("cylinder stamp unknown"),
    "cylinder-test-unknown": N_("cylinder test unknown"),
    "cylinder-not-mixed": N_("not a mixed-gas cylinder"),
    "cylinder-burnout": N_("no cylinder of its own for burnout"),
    "cylinder-full": N_("cylinder full"),
    "cylinders-do-not-suffice": N_("cylinders do not suffice"),
    "over-scale-capacity": N_("over scale capacity"),
    "forced-method-breaks-rule": N_("forced method breaks rule"),
    "no-properties": N_("no properties of the gas"),
    "refrigerant-not-recovered": N_("refrigerant not recovered"),
    "not-in-register": N_("not in register"),
    "not-assigned": N_("not assigned"),
    "charge-not-plausible": N_("charge not plausible"),
    "unknown-gas-may-burn": N_("unknown gas may burn"),
    "kit-missing": N_("kit missing"),
    "walk-failed": N_("steps do not hold"),
    "cylinder-two-trucks": N_("cylinder on two trucks"),
    "cylinder-two-refrigerants": N_("cylinder for two refrigerants"),
    "technician-two-places": N_("technician in two places"),
    "machine-two-places": N_("machine in two places"),
    "scale-two-places": N_("scale in two places"),
    "cylinder-two-places": N_("cylinder in two places"),
    "truck-two-places": N_("truck in two places"),
    "kit-short-today": N_("kit short today"),
    # cautions
    "scrap-certification-policy": N_("certification for scrap"),
    "receiver-capacity-asked": N_("receiver size not known"),
    "receiver-too-small": N_("receiver too small"),
    "temperature-out-of-range": N_("temperature out of range"),
    "hose-too-narrow": N_("hose too narrow"),
    "cylinder-pressure-131F-listed": N_("cylinder near its limit"),
    "cylinder-discrepancy": N_("scale and ledger differ"),
    "cylinder-stands-high": N_("keep cylinder cool"),
    "quick-rule-unsafe": N_("no quick rule"),
    "unknown-gas": N_("unknown gas"),
    "estimate": N_("estimate"),
    "isolation-needs-receiver": N_("no receiver"),
    "room-limit-unknown": N_("room limit unknown"),
    "room-limit-exceeded": N_("room limit"),
    "room-not-given": N_("room not given"),
    "carry-placards": N_("placards"),
    "carry-cylinder-over": N_("heavy cylinder"),
    "carry-truck-over": N_("truck over {limit}"),
    "carry-not-trade": N_("no material of trade"),
    "second-person-missing": N_("second person"),
    "leak-exception": N_("leaking"),
    "cylinder-used-again": N_("cylinder used again"),
    "handed-over": N_("hand-over"),
    "handed-on": N_("hand-over"),
    "travel-short": N_("short travel"),
    "machine-changes-refrigerant": N_("clear machine"),
}

# where a cylinder's service pressure is judged (49 CFR 173.304a)
WARM_F = 70.0


def board_word(code: str, units: UnitSystem) -> str:
    """The words of a finding on the board, figures in the shop's units."""
    return t(
        BOARD_WORDS[code],
        hot=show_temperature(HOT_F, units),
        warm=show_temperature(WARM_F, units),
        limit=show_weight(PER_TRUCK_LB, units, 0),
    )
