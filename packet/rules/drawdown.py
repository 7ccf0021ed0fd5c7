"""How deep an appliance must be drawn down, and what the gauge shows then at the site's elevation.

Vacuum is counted in inches of mercury below the law's standard atmosphere of 29.9 inHg.
"""

from packet.shop.records import PressureClass
from packet.units import PSI_PER_INHG, ceil_to
from packet.words import N_
from packet.worked import Worked, given

SOURCE_TABLE = N_("40 CFR 82.156(a), table 1")
SOURCE_CLASS = "40 CFR 82.152"
SOURCE_SMALL = N_("40 CFR 82.152; 82.156(b), from memory")

STANDARD_inHg = 29.9  # as 40 CFR 82.156 table 1 states it
# 29.9 is 29.921 rounded: without this a sea-level gauge would be asked for 10.02 inHg where the law says 10
LAW_ROUNDING_inHg = 0.022
LOW_PRESSURE_mmHg = 25.0
MM_PER_IN = 25.4
CLASS_AT_F = 104.0
SMALL_APPLIANCE_LB = 5.0
SMALL_APPLIANCE_inHg = 4.0
GAUGE_STEP_inHg = 0.1
SMALL_TARGET_STEPS = 20
OIL_CHANGE_psig = 5.0  # 40 CFR 82.156(a)(1)(iii), from memory
RECEIVER_SHARE = 0.80

# The refrigerants that 40 CFR 82.152 names as examples in its definitions: what the rule says is not computed. R-500
# comes out at 168 psia, within its estimate's error of "high"; the rule calls it medium.
NAMED_CLASSES: dict[str, PressureClass] = {
    **dict.fromkeys(("R-11", "R-113", "R-123", "R-245fa"), "low"),
    **dict.fromkeys(("R-12", "R-114", "R-124", "R-134a", "R-500"), "medium"),
    **dict.fromkeys(("R-22", "R-407A", "R-407C", "R-410A", "R-502"), "high"),
    **dict.fromkeys(("R-13", "R-23", "R-503", "R-508A", "R-508B"), "very-high"),
}

# deepest target first
DEEPEST_FIRST: tuple[PressureClass, ...] = ("low", "medium", "high", "very-high")


def is_read_absolute(name: str | None) -> bool:
    """Whether an appliance of this class is read on an absolute gauge: a low-pressure one works on both sides of the
    air's, and 40 CFR 82.156 table 1 gives its level in mmHg absolute."""
    return name == "low"


def pressure_class(saturation_psia_at_104F: float | None) -> PressureClass:
    """The class of a refrigerant by its liquid-phase (bubble) saturation pressure at 104 °F, psia.

    None means that its critical temperature is below 104 °F: very high. Source: 40 CFR 82.152: low below 45 psia, medium
    45 to 170, high 170 to 355, very high above 355 or critical below 104 °F.
    """
    if saturation_psia_at_104F is None or saturation_psia_at_104F > 355.0:
        return "very-high"
    if saturation_psia_at_104F >= 170.0:
        return "high"
    return "medium" if saturation_psia_at_104F >= 45.0 else "low"


def possible_classes(saturation_psia_at_104F: float | None, error_percent: float) -> tuple[PressureClass, ...]:
    """The classes that an estimate of the given error may fall in, deepest target first; one when it is exact."""
    if saturation_psia_at_104F is None:
        return ("very-high",)
    ends = {pressure_class(saturation_psia_at_104F * (1.0 + sign * error_percent / 100.0)) for sign in (-1.0, 0.0, 1.0)}
    return tuple(name for name in DEEPEST_FIRST if name in ends)


def table_inHg(name: PressureClass, charge_lb: float, made_since_1993: bool) -> float | None:
    """The vacuum that table 1 asks for, inHg; None for low pressure, which is 25 mmHg absolute.

    charge_lb: the full charge of the appliance, or of the part that is isolated. made_since_1993: the recovery machine
    was made on or after 15 November 1993. Source: 40 CFR 82.156(a), table 1.
    """
    large = charge_lb >= 200.0
    if name == "low":
        return None
    if name == "medium":
        return (15.0 if large else 10.0) if made_since_1993 else 4.0
    if name == "high" and large:
        return 10.0 if made_since_1993 else 4.0
    return 0.0


def target_vacuum_inHg(vacuum_inHg: float, row: str) -> Worked:
    """A vacuum as table 1 states it. row: which row, in words."""
    return given(vacuum_inHg, "inHg", f"{SOURCE_TABLE}: {row}", places=0)


def low_pressure_vacuum_inHg() -> Worked:
    """25 mmHg absolute as inches of vacuum below 29.9 inHg. Source: 40 CFR 82.156 table 1."""
    return Worked(
        STANDARD_inHg - LOW_PRESSURE_mmHg / MM_PER_IN,
        "inHg",
        N_("low pressure: 25 mmHg absolute, as vacuum below 29.9 inHg"),
        SOURCE_TABLE,
        "29.9 − {absolute} ÷ 25.4",
        (("absolute", given(LOW_PRESSURE_mmHg, "mmHg", SOURCE_TABLE, places=0)),),
    )


def target_psia(vacuum_inHg: Worked) -> Worked:
    """The target as an absolute pressure. Source: 40 CFR 82.156 table 1, relative to 29.9 inHg."""
    return Worked(
        (STANDARD_inHg - vacuum_inHg.value) * PSI_PER_INHG,
        "psia",
        N_("target as absolute pressure: vacuum below 29.9 inHg"),
        SOURCE_TABLE,
        "(29.9 − {vacuum}) × 0.491154",
        (("vacuum", vacuum_inHg),),
        places=3,
    )


def gauge_at_site_inHg(vacuum_inHg: Worked, barometer_inHg: Worked) -> Worked:
    """What the gauge at the site shows when the target is reached, inHg of vacuum.

    The table is absolute at heart, so a site whose barometer is low needs less vacuum on the gauge: barometer less
    absolute target. Never above 0 psig at the site; rounded to the deeper side. Source: 40 CFR 82.156 table 1.
    """
    raw = barometer_inHg.value - (STANDARD_inHg - vacuum_inHg.value) - LAW_ROUNDING_inHg
    return Worked(
        float(ceil_to(round(max(0.0, raw), 4), GAUGE_STEP_inHg)),
        "inHg",
        N_(
            "what the gauge shows at this elevation: barometer less absolute target, to the deeper side"
            " (0.022: the law rounds the standard atmosphere to 29.9)"
        ),
        SOURCE_TABLE,
        "largest of (0, {barometer} − (29.9 − {vacuum}) − 0.022) rounded up to steps of 0.1",
        (("barometer", barometer_inHg), ("vacuum", vacuum_inHg)),
        places=1,
    )


def small_appliance_percent(compressor_runs: bool, made_since_1993: bool) -> float:
    """Percent of the charge to recover from a small appliance.

    Source: 40 CFR 82.156(b), from memory: machine made since 15 November 1993: 90 with the compressor running, 80
    without; an older machine 80 either way. 4 inHg of vacuum does instead.
    """
    return 90.0 if compressor_runs and made_since_1993 else 80.0


def percent_can_be_weighed(target_lb: float, step_lb: float) -> bool:
    """Whether the scale can show that a percent of a charge is reached: the target is 20 of its steps or more.

    Source: common practice, no source: a step is then at most 5 % of what is judged by it.
    """
    return target_lb >= SMALL_TARGET_STEPS * step_lb * (1.0 - 1e-9)


def receiver_takes_lb(capacity_lb: float) -> float:
    """What may be pumped into a system's receiver, lb: 80 % of what it holds when full. Source: common practice, no
    source; the same share as a cylinder's.
    """
    return RECEIVER_SHARE * capacity_lb


def small_appliance_target_lb(percent: Worked, charge_lb: Worked) -> Worked:
    """What to recover at least from a small appliance, lb. Source: 40 CFR 82.156(b), from memory."""
    return Worked(
        percent.value / 100.0 * charge_lb.value,
        "lb",
        N_("small appliance: a percent of the charge"),
        SOURCE_SMALL,
        "{percent} ÷ 100 × {charge}",
        (("percent", percent), ("charge", charge_lb)),
    )


def remaining_vapor_lb(volume_ft3: Worked, vapor_lb_per_ft3: Worked) -> Worked:
    """Refrigerant left in the system as vapor at the target, lb. Source: mass balance."""
    return Worked(
        volume_ft3.value * vapor_lb_per_ft3.value,
        "lb",
        N_("vapor that remains in the system at the target pressure"),
        N_("volume times density"),
        "{system_volume} × {vapor_density}",
        (("system_volume", volume_ft3), ("vapor_density", vapor_lb_per_ft3)),
        places=3,
        estimate_percent=volume_ft3.estimate_percent,
    )


# What a system holds over the volume of its charge as liquid: most, and the wide shells of a low-pressure chiller.
# Common practice, no source.
VOLUME_OVER_LIQUID = 3.0
SHELL_OVER_LIQUID = 25.0
SHELL_RULE = N_(
    "system volume estimated: the shells of a low-pressure chiller are some 25 times as large as its liquid"
)


def system_volume_ft3(charge_lb: Worked, liquid_lb_per_ft3: Worked, *, low_pressure: bool = False) -> Worked:
    """A system's inside volume when nobody knows it: the liquid of a full charge takes about a third of it.

    The shells of a low-pressure chiller are some 25 times as large as its liquid. Source: common practice, no source;
    taken as right within 50 %.
    """
    times = SHELL_OVER_LIQUID if low_pressure else VOLUME_OVER_LIQUID
    return Worked(
        times * charge_lb.value / liquid_lb_per_ft3.value,
        "ft³",
        SHELL_RULE
        if low_pressure
        else N_("system volume estimated: a full charge as liquid takes about a third of it"),
        N_("common practice, no source"),
        f"{times:.0f} × {{charge}} ÷ {{density}}",
        (("charge", charge_lb), ("density", liquid_lb_per_ft3)),
        places=4,
        estimate_percent=50.0,
    )


def rise_check_minutes(charge_lb: float, chiller: bool) -> int:
    """How long to watch for a rise after drawing down, minutes.

    Source: common practice, no source for the times; TM 5-3810-307-24 waits five minutes. 5 up to 15 lb, 10 up to
    200 lb, 30 above and for chillers.
    """
    if chiller or charge_lb > 200.0:
        return 30
    return 5 if charge_lb <= 15.0 else 10
