"""Weights, level and amount of a form that came back: what is unusual about them."""

from collections.abc import Iterator
from decimal import Decimal

from packet.figures import show_absolute, show_pressure, show_rule_weight, show_temperature, show_vacuum, show_weight
from packet.findings import Finding, finding
from packet.ledger import mass
from packet.ledger.state import tolerance_kg
from packet.office.case import Case, Filling
from packet.office.promised import Evacuation
from packet.office.readings import Gauge, Readings
from packet.refrigerant.own import is_mixed
from packet.rules.duties import LARGE_LB
from packet.units import PA_PER_PSI, PSI_PER_INHG, plain

# How far the amount may be below the charge before a leak is suspected. Common practice, no source.
SHORT_PERCENT = 10.0
RULE_LEVEL = "40 CFR 82.156(a)(1), (b)"
RULE_WEIGHT = "49 CFR 173.304a(c)"
PRACTICE = "common practice, no source"


def cylinder_by_cylinder(case: Case) -> Iterator[Finding]:
    """Each cylinder: on the job, weighed, as the ledger has it, not too full, and what is written down went in."""
    readings, weighed = case.readings, {item.cylinder: item for item in case.fillings()}
    for one in readings.cylinders:
        key = f"cylinders.{one}"
        planned, filling = case.promised.cylinder(one), weighed.get(one)
        if planned is None:
            yield finding("cylinder-not-on-job", where=case.where(key), cylinder=one)
        if filling is None:
            if not readings.ticked(f"{key}.not_used"):
                yield finding("cylinder-not-weighed", where=case.where(key), cylinder=one)
            continue
        yield from _bare(case, filling)
        yield from _other_gas(case, filling)
        if planned is not None:
            yield from _not_too_full(case, filling, planned.stop_gross_lb, planned.limit_gross_lb)
        put_in = readings.weight(f"{key}.put_in")
        if put_in is not None and abs(put_in.kg - filling.kg) > case.step_kg():
            yield finding(
                "balance-cylinder",
                where=case.where(f"{key}.put_in"),
                cylinder=one,
                moved=case.weight(filling.kg),
                put_in=case.weight(put_in.kg),
            )


def _bare(case: Case, filling: Filling) -> Iterator[Finding]:
    state = case.states.get(filling.cylinder)
    tare = next((one.tare_lb for one in case.registers.cylinders if one.id == filling.cylinder), None)
    if state is None or tare is None:
        return
    expected = mass.kg_from_float_lb(tare) + state.ledger_kg
    if abs(filling.before.kg - expected) > tolerance_kg(Decimal(repr(case.promised.scale_step_lb))):
        yield finding(
            "weight-differs",
            source=PRACTICE,
            where=case.where(f"cylinders.{filling.cylinder}.bare_before_gross"),
            cylinder=filling.cylinder,
            found=case.weight(filling.before.kg),
            expected=case.weight(expected),
            gap=case.weight(abs(filling.before.kg - expected)),
        )


def _other_gas(case: Case, filling: Filling) -> Iterator[Finding]:
    state = case.states.get(filling.cylinder)
    if state is None or state.refrigerant is None or is_mixed(state.refrigerant):
        return
    if filling.kg > 0 and state.refrigerant != case.gas():
        yield finding(
            "cylinder-became-mixed",
            where=case.where(f"cylinders.{filling.cylinder}"),
            cylinder=filling.cylinder,
            contents=state.refrigerant,
            refrigerant=case.gas(),
        )


def _not_too_full(case: Case, filling: Filling, stop_lb: float, limit_lb: float) -> Iterator[Finding]:
    gross, where = (
        float(mass.lb_from_kg(filling.after.kg)),
        case.where(f"cylinders.{filling.cylinder}.bare_after_gross"),
    )
    # a weight typed as printed passes: what is printed was floored in the shop's units, this is binary dust
    if gross > limit_lb + 1e-6:
        limit = show_weight(limit_lb, case.units)
        code, weights = "over-limit-weight", {"limit": limit}
    elif gross > stop_lb + 1e-6:
        code, weights = "over-stop-weight", {"stop": show_weight(stop_lb, case.units)}
    else:
        return
    yield finding(
        code, where=where, source=RULE_WEIGHT, cylinder=filling.cylinder, gross=case.weight(filling.after.kg), **weights
    )


def totals(case: Case) -> Iterator[Finding]:
    """The total written down against the cylinders."""
    total, moved = case.readings.weight("recovered"), case.recovered_kg()
    if total is not None and abs(total.kg - moved) > case.step_kg() * max(1, len(case.fillings())):
        yield finding(
            "balance-job", where=case.where("recovered"), moved=case.weight(moved), total=case.weight(total.kg)
        )


def reached(gauge: Gauge, asked: Evacuation) -> bool | None:
    """Whether a gauge reading is at or below the level; None where the print says no level for that kind of gauge."""
    if gauge.absolute:
        return None if asked.target_psia is None else gauge.psia <= asked.target_psia * 1.0005
    deep = asked.gauge_at_site_inHg_vacuum
    return None if deep is None else gauge.inHg_vacuum >= deep - 0.005


def _target(case: Case) -> str:
    asked = case.promised.evacuation
    if asked.absolute_mmHg is not None and asked.target_psia is not None:
        return show_absolute(asked.target_psia, case.units)
    return show_vacuum(asked.gauge_at_site_inHg_vacuum or 0.0, case.units)


def excepted(readings: Readings) -> bool:
    """Whether any exception is ticked or told."""
    ticked = any(readings.ticked(f"exceptions.{name}") for name in ("leak", "not_major"))
    return ticked or bool(readings.words("exceptions.other"))


def level(case: Case) -> Iterator[Finding]:
    """Whether the level was reached, or an exception is ticked that allows it not to be."""
    gauge, asked, where = case.readings.gauge("final.gauge"), case.promised.evacuation, case.where("final.gauge")
    deep = reached(gauge, asked) if gauge is not None else None
    if asked.target_percent_of_charge is not None:
        recovered, charge_lb = float(mass.lb_from_kg(case.recovered_kg())), case.promised.appliance.charge_lb
        percent = 100.0 * recovered / charge_lb if charge_lb else 100.0
        if not deep and percent < asked.target_percent_of_charge - 1e-6:
            yield finding(
                "small-amount-short",
                where=case.where("recovered"),
                source=RULE_LEVEL,
                recovered=case.weight(case.recovered_kg()),
                charge=show_weight(charge_lb, case.units),
                percent=plain(percent, 0),
                target=plain(asked.target_percent_of_charge, 0),
                vacuum=_target(case),
            )
    elif gauge is None:
        yield finding("level-not-read", where=where, source=RULE_LEVEL)
    elif excepted(case.readings):
        if not gauge.absolute and gauge.inHg_vacuum < -PSI_PER_INHG * 0.1:
            yield finding("exception-not-so-low", where=where, source=RULE_LEVEL, read=gauge.text)
    elif deep is False:
        yield finding("level-not-reached", where=where, source=RULE_LEVEL, read=gauge.text, target=_target(case))


def rise(case: Case) -> Iterator[Finding]:
    """Whether the rise check was long enough, and stayed at or below the level."""
    waited, gauge = case.readings.number("rise.waited"), case.readings.gauge("rise.gauge")
    if waited is not None and waited < case.promised.evacuation.rise_check_minutes:
        yield finding(
            "rise-check-short",
            where=case.where("rise.waited"),
            source=PRACTICE,
            waited=str(waited),
            needed=case.promised.evacuation.rise_check_minutes,
        )
    small = case.promised.evacuation.target_percent_of_charge is not None
    if (
        gauge is not None
        and not small
        and not excepted(case.readings)
        and reached(gauge, case.promised.evacuation) is False
    ):
        yield finding(
            "rise-check-rose", where=case.where("rise.gauge"), source=PRACTICE, read=gauge.text, target=_target(case)
        )


def amount(case: Case) -> Iterator[Finding]:
    """The amount against what was to be recovered: a leak below, an overcharge or another gas above."""
    planned_lb = case.promised.plan.to_recover_lb or case.promised.appliance.charge_lb
    recovered_lb, where = float(mass.lb_from_kg(case.recovered_kg())), case.where("recovered")
    slack_lb = 2.0 * case.promised.scale_step_lb
    over_percent = case.registers.shop.policy.overcharge_allowance_percent
    short_lb = planned_lb - recovered_lb
    known_leak = case.promised.leaking or case.readings.ticked("exceptions.leak")
    small = (
        case.promised.evacuation.target_percent_of_charge is not None
    )  # what it may leave behind is checked with the level
    if short_lb > max(slack_lb, planned_lb * SHORT_PERCENT / 100.0) and not known_leak and not small:
        yield finding(
            "amount-below-charge",
            where=where,
            source=PRACTICE,
            recovered=case.weight(case.recovered_kg()),
            charge=show_weight(planned_lb, case.units),
            short=show_weight(short_lb, case.units),
            percent=plain(100.0 * short_lb / planned_lb, 0),
            large=show_rule_weight(LARGE_LB, case.units),
        )
    elif -short_lb > max(slack_lb, planned_lb * over_percent / 100.0):
        yield finding(
            "amount-above-charge",
            where=where,
            source=PRACTICE,
            recovered=case.weight(case.recovered_kg()),
            charge=show_weight(planned_lb, case.units),
            over=show_weight(-short_lb, case.units),
            percent=plain(-100.0 * short_lb / planned_lb, 0),
        )


def air(case: Case) -> Iterator[Finding]:
    """A cylinder whose pressure after standing is above what its surface temperature gives: non-condensables."""
    table = case.promised.plan.pressure_table
    for one in case.readings.cylinders:
        name = f"cylinders.{one}.pressure_after_standing"
        psig = _above_air_psig(case, name)
        temperature_F = case.readings.temperature_F(f"cylinders.{one}.wall_after_standing")
        if psig is None or temperature_F is None or not table:
            continue
        if not table[0].temperature_F <= temperature_F <= table[-1].temperature_F:
            continue
        most_psig = _between(
            temperature_F, [row.temperature_F for row in table], [row.suspect_air_psig for row in table]
        )
        if psig > most_psig:
            yield finding(
                "air-after-standing",
                source=PRACTICE,
                where=case.where(name),
                cylinder=one,
                found=show_pressure(psig, case.units),
                most=show_pressure(most_psig, case.units),
                temperature=show_temperature(temperature_F, case.units),
            )


def _above_air_psig(case: Case, name: str) -> float | None:
    """A pressure relative to the site's air, psig, whatever gauge it was read on; None when blank, or when the print does
    not say what the air was."""
    gauge = case.readings.gauge(name)
    if gauge is None:
        return case.readings.pressure_psig(name)
    if not gauge.absolute:
        return gauge.pa / PA_PER_PSI
    barometer_psia = case.promised.plan.barometer_psia
    return None if barometer_psia is None else gauge.psia - barometer_psia


def _between(at: float, xs: list[float], ys: list[float]) -> float:
    """Along the straight line between the two rows around `at`, which lies within them."""
    upper = next(index for index, x in enumerate(xs) if x >= at)
    if upper == 0:
        return ys[0]
    share = (at - xs[upper - 1]) / (xs[upper] - xs[upper - 1])
    return ys[upper - 1] + share * (ys[upper] - ys[upper - 1])
