"""Mistakes a person could make in rules, plan, office and sheets, each made in a copy: do the tests see it?

    PYTHONPATH=. .venv/bin/python tests/bench/mutants_by_hand.py [WORD…]

Each is one change of one file and the tests that ought to fail for it. WORD: only mutants whose name or file has it.
Prints a table and how many were caught; exit status 1 when fewer than 95 in 100 were, or a mutant no longer fits the code.
"""

import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
ENOUGH = 0.95


@dataclass(frozen=True, slots=True)
class Mutant:
    """name: the mistake in words. file: below packet/. old: what is there, once. new: what stands there instead."""

    name: str
    file: str
    old: str
    new: str
    tests: str


PLAN = "tests/plan tests/rules"
MUTANTS = (
    # rules
    Mutant("net limit: the largest of the limits", "rules/stop.py", "min(found, key", "max(found, key", "tests/rules/test_stop.py"),
    Mutant("the scale no longer limits", "rules/stop.py", '    "by_scale": _scale,\n', "", "tests/rules/test_stop.py"),
    Mutant("clearing added to the limit", "rules/stop.py", "never_above.value - clearing_lb.value", "never_above.value + clearing_lb.value", "tests/rules/test_stop.py"),
    Mutant("limit: hot density at the fill temperature", "rules/stop.py", "terms.hot_ceiling_percent, vessel.volume_ft3, terms.hot_liquid_lb_per_ft3", "terms.hot_ceiling_percent, vessel.volume_ft3, terms.liquid_lb_per_ft3", "tests/rules/test_stop.py"),
    Mutant("limit: never below nothing left out", "rules/stop.py", "max(0.0, least.value)", "least.value", "tests/rules/test_stop.py"),
    Mutant("fill temperature: the cooler of the two", "rules/fill.py", "max(COLDEST_FILL_F, hottest_F.value)", "min(COLDEST_FILL_F, hottest_F.value)", "tests/rules/test_fill.py"),
    Mutant("listed density of R-22 as R-12's", "rules/fill.py", '"R-22": (105.0,', '"R-22": (119.0,', "tests/rules/test_fill.py"),
    Mutant("level: vapor not taken off", "rules/fill.py", "(net_lb / volume_ft3 - vapor_lb_per_ft3) /", "(net_lb / volume_ft3) /", "tests/rules/test_fill.py"),
    Mutant("clearing: no scale step", "rules/clearing.py", '        ("scale_step", scale_step_lb),\n', "", "tests/rules/test_clearing.py"),
    Mutant("clearing: seconds taken as minutes", "rules/clearing.py", "reaction_seconds.value / 60.0", "reaction_seconds.value", "tests/rules/test_clearing.py"),
    Mutant("clearing: one hose of the line", "rules/clearing.py", "(hose_ft3.value + other_hose_ft3.value) * liquid", "(hose_ft3.value) * liquid", "tests/rules/test_clearing.py tests/plan/test_hoses.py"),
    Mutant("weights rounded to the nearest step", "rules/printed.py", "float(floor_to(_unhair(weight_lb.value), how.step))", "float(round_to(_unhair(weight_lb.value), how.step))", "tests/rules/test_printed.py"),
    Mutant("SI weights floored in pounds", "rules/printed.py", "floor_to(_unhair(weight_lb.value * KG_PER_LB), how.step)) / KG_PER_LB", "floor_to(_unhair(weight_lb.value), how.step))", "tests/rules/test_printed.py"),
    Mutant("quick rule: 85 %", "rules/quick.py", "0.80 * water_capacity_lb.value + tare_lb.value", "0.85 * water_capacity_lb.value + tare_lb.value", "tests/rules/test_printed.py"),
    Mutant("5/4 of the service pressure as 6/4", "rules/fitness.py", "1.25", "1.5", "tests/rules/test_fitness.py"),
    Mutant("requalified every six years", "rules/fitness.py", "REQUALIFIED_EVERY_YEARS = 5", "REQUALIFIED_EVERY_YEARS = 6", "tests/rules/test_fitness.py"),
    Mutant("stop and cool at the higher of the two", "rules/fitness.py", "min(service_psig.value, expected", "max(service_psig.value, expected", "tests/rules/test_fitness.py"),
    Mutant("large appliance above 200 lb, not from", "rules/drawdown.py", "charge_lb >= 200.0", "charge_lb > 200.0", "tests/rules/test_drawdown.py"),
    Mutant("old machine's vacuum for a new one", "rules/drawdown.py", "(15.0 if large else 10.0) if made_since_1993 else 4.0", "4.0 if made_since_1993 else (15.0 if large else 10.0)", "tests/rules/test_drawdown.py"),
    Mutant("gauge target to the shallower side", "rules/drawdown.py", "float(ceil_to(round(max(0.0, raw), 4), GAUGE_STEP_inHg))", "float(round(max(0.0, raw), 1))", "tests/rules/test_drawdown.py"),
    Mutant("small appliance: 90 % with an old machine", "rules/drawdown.py", "90.0 if compressor_runs and made_since_1993", "90.0 if compressor_runs", "tests/rules/test_drawdown.py"),
    Mutant("an estimate's class without its error", "rules/drawdown.py", "for sign in (-1.0, 0.0, 1.0)", "for sign in (0.0,)", "tests/rules/test_drawdown.py"),
    Mutant("rise check: 10 min for a chiller", "rules/drawdown.py", "if chiller or charge_lb > 200.0:", "if charge_lb > 200.0:", "tests/rules/test_drawdown.py tests/rules/test_small_rules.py"),
    Mutant("homes have the whole room limit", "rules/room.py", "half = 0.5 if institutional else 1.0", "half = 1.0", "tests/rules/test_small_rules.py"),
    Mutant("unknown gas rides as material of trade", "rules/carriage.py", '        return "not-trade"\n    if hazard_class is None', '        return "trade"\n    if hazard_class is None', "tests/rules tests/plan/test_rest.py"),
    Mutant("placards above 1,001 lb, not from", "rules/carriage.py", "hazardous_lb >= PLACARDS_FROM_LB", "hazardous_lb > PLACARDS_FROM_LB", "tests/rules tests/plan/test_rest.py"),
    Mutant("type III not asked for low pressure", "rules/crew.py", 'if "low" in classes:', "if False:", "tests/rules tests/plan/test_rest.py"),
    Mutant("any one certification does", "rules/crew.py", "set(needed) <= have", "bool(set(needed) & have)", "tests/rules tests/plan/test_rest.py"),
    Mutant("duty of 50 lb from 5 lb", "rules/duties.py", '("if-50-lb", facts.charge_lb >= LARGE_LB)', '("if-50-lb", facts.charge_lb >= DISPOSAL_ABOVE_LB)', "tests/rules"),
    # plan
    Mutant("offers planned without push-pull's clearing", "plan/setting.py", "stages = choose_method(replace(case, named=named), self._classes)[0].stages", 'stages = tuple(stage for stage in choose_method(replace(case, named=named), self._classes)[0].stages if stage != "push-pull")', "tests/plan/test_offers.py"),
    Mutant("offers weighed for today's method", "plan/fit.py", "setting = ways.setting((*kept, (cylinder, state)))", "setting = ways.setting(case.named.cylinders)", "tests/plan/test_offers.py"),
    Mutant("taken cylinders are offered", "plan/fit.py", "case.taken | set(case.job.cylinders)", "set(case.job.cylinders)", "tests/plan/test_filling.py"),
    Mutant("a stopped job's gas passed on to the machine", "plan/day.py", "        if plan.may_go_out and plan.job.job not in stopped:\n            held[machine.id]", "        if True:\n            held[machine.id]", "tests/plan/test_day.py"),
    Mutant("a job that the hookup stops passes its gas on", "plan/day.py", "if plan.may_go_out and plan.job.job not in stopped:", "if plan.may_go_out:", "tests/plan/test_day.py"),
    Mutant("end time = start time", "plan/day_checks.py", "start + sum(stage.minutes.value for stage in plan.times)", "start", "tests/plan/test_day.py"),
    Mutant("a cylinder on two trucks is not told", "plan/day_checks.py", "        two_trucks,\n        two_refrigerants,", "        two_refrigerants,", "tests/plan/test_day.py"),
    Mutant("hoses: the stock is not counted", "plan/hoses.py", "after = left - Counter({number: 1})", "after = left", "tests/plan/test_hoses.py"),
    Mutant("hoses: rating not asked", "plan/hoses.py", "return closes and hose.rating_psig >= need.least_psig", "return closes", "tests/plan/test_hoses.py"),
    Mutant("hoses: the pump's hose need not be rated", "plan/hoses.py", "(need.flammable and not hose.flammable_rated)", '(need.flammable and letter != "P" and not hose.flammable_rated)', "tests/plan/test_hoses.py"),
    Mutant("hoses: wide from 51 lb", "plan/hoses.py", "case.charge_lb.value >= WIDE_FROM_LB", "case.charge_lb.value > WIDE_FROM_LB", "tests/plan/test_hoses.py"),
    Mutant("hoses: greedy, though the rest then lacks one", "plan/hoses.py", "if left[number] and 1 + _most(fit, rest, after) == best:", "if left[number]:", "tests/plan/test_hoses.py"),
    Mutant("clearing counts hose B for A", "plan/setting.py", 'volume_inputs(hoses, "A")', 'volume_inputs(hoses, "B")', "tests/plan/test_hoses.py"),
    Mutant("clearing: liquid taken light", "plan/setting.py", "density = gas.liquid_high(coldest)", "density = gas.liquid(coldest)", "tests/plan/test_hoses.py"),
    Mutant("limits: an estimate's density taken high", "plan/gas.py", "return _safe(self._best_liquid(temperature_F), self.fluid.density_error_percent, -1)", "return _safe(self._best_liquid(temperature_F), self.fluid.density_error_percent, +1)", "tests/plan/test_gas.py"),
    Mutant("a cooler row allows more than the sheet's stop", "plan/cylinder.py", "if own_stop.value >= own.stop_gross_lb.value:", "if False:", "tests/plan/test_invariants.py tests/plan/test_filling.py"),
    Mutant("the heel is not taken off the room", "plan/cylinder.py", "max(0.0, round(stop.value - tare.value - contents.value, 9))", "max(0.0, round(stop.value - tare.value, 9))", "tests/plan/test_filling.py tests/plan/test_invariants.py"),
    Mutant("room checked against the charge alone", "plan/cylinder_plans.py", "spread(to_recover_lb, expected_max,", "spread(to_recover_lb, to_recover_lb,", "tests/plan/test_filling.py"),
    Mutant("the second cylinder gets all again", "plan/filling.py", "max(0.0, round(still.value - share.value, 9))", "max(0.0, round(still.value, 9))", "tests/plan/test_filling.py"),
    Mutant("push-pull with a heat pump", "plan/method.py", 'if appliance.kind == "heat-pump" or appliance.reversing_valve:', "if appliance.reversing_valve:", "tests/plan/test_method.py"),
    Mutant("push-pull into a cylinder without a dip tube", "plan/method.py", 'if not {"liquid", "vapor"} <= set(cylinder.valves):', "if False:", "tests/plan/test_method.py tests/plan/test_offers.py"),
    Mutant("a test good a month too long", "plan/fit.py", "elif setting.day > due:", "elif setting.day > due.replace(year=due.year + 1):", "tests/plan/test_fit.py"),
    Mutant("another gas in the cylinder is not refused", "plan/fit.py", "if held is not None and _designation(held) != gas.refrigerant.name:", "if False:", "tests/plan/test_fit.py"),
    Mutant("the room: cylinders' gas left out", "plan/space.py", "sum(state.contents_lb for _, state in case.named.cylinders)", "0.0", "tests/plan/test_rest.py"),
    Mutant("the second person not asked", "rules/crew.py", '("room-limit", exceeds_room_limit)', '("room-limit", False)', "tests/rules tests/plan/test_rest.py"),
    # office
    Mutant("the listed filling density left out of packet cylinders", "office/cylinders.py", "limits(vessel_of(cylinder), terms_of(gas, policy, at)).net_lb.value", 'min(limit.value for name, limit in limits(vessel_of(cylinder), terms_of(gas, policy, at)).all if name != "by_filling_density")', "tests/office/test_cylinders.py"),
    Mutant("room at 77 °F at both temperatures", "office/cylinders.py", "for temperature in (fill.COLDEST_FILL_F, policy.van_hottest_F)", "for temperature in (fill.COLDEST_FILL_F, fill.COLDEST_FILL_F)", "tests/office/test_cylinders.py"),
    Mutant("form: an end at the start is in order", "office/checks.py", "end <= start", "end < start", "tests/office/test_file.py"),
    Mutant("form: a cylinder left out is not missed", "office/checks.py", "if item.id not in case.readings.cylinders:", "if False:", "tests/office/test_file.py"),
    Mutant("form: above the limit reads as above the stop", "office/checks_amounts.py", "if gross > limit_lb + 1e-6:", "if False:", "tests/office/test_file.py"),
    Mutant("form: a balance half off passes", "office/checks_amounts.py", "abs(put_in.kg - filling.kg) > case.step_kg():", "abs(put_in.kg - filling.kg) > 100 * case.step_kg():", "tests/office/test_file.py"),
    Mutant("form: a level just missed was reached", "office/checks_amounts.py", "gauge.psia <= asked.target_psia * 1.0005", "gauge.psia <= asked.target_psia * 1.05", "tests/office/test_file.py"),
    Mutant("form: a short rise check passes", "office/checks_amounts.py", "waited < case.promised.evacuation.rise_check_minutes", "waited < 0", "tests/office/test_file.py"),
    # sheets
    Mutant('"full" printed only above 120 %', "sheets/fill.py", "if row.level_percent < 100 else", "if row.level_percent <= 120 else", "tests/sheets/test_fill.py"),
    Mutant("the sheet prints the limit for the stop", "sheets/front.py", "way.weight_value(item.stop_gross_lb.value)", "way.weight_value(item.limit_gross_lb.value)", "tests/sheets"),
    Mutant("the log's reminder says the limit for the stop", "sheets/log.py", "weight=way.weight(item.stop_gross_lb.value)", "weight=way.weight(item.limit_gross_lb.value)", "tests/sheets"),
    Mutant("the table's stop weight is the limit", "sheets/fill.py", "way.weight_value(row.stop_gross_lb)", "way.weight_value(row.net_limit_lb)", "tests/sheets"),
    Mutant("BEFORE, expect the tare", "sheets/front.py", "way.weight(item.expected_bare_gross_lb.value)", "way.weight(item.cylinder.tare_lb)", "tests/sheets"),
    Mutant("expected final: the stop weight", "sheets/front.py", "way.weight(item.planned_gross_lb)", "way.weight(item.stop_gross_lb.value)", "tests/sheets"),
    Mutant("never above: the stop weight", "sheets/front.py", "way.weight(item.limit_gross_lb.value)", "way.weight(item.stop_gross_lb.value)", "tests/sheets"),
    Mutant("cautions are not initialed", "sheets/front.py", 'if item.severity == "caution" and', 'if item.severity == "stop" and', "tests/sheets"),
    Mutant("a small appliance's target in vacuum", "sheets/show.py", "if evacuation.target_percent_of_charge is not None:", "if False:", "tests/sheets"),
)  # fmt: skip


def survives(mutant: Mutant, tree: Path) -> bool | None:
    """Whether the tests pass all the same; None where the mutant does not fit the code any more."""
    path = tree / "packet" / mutant.file
    whole = path.read_text("utf-8")
    if whole.count(mutant.old) < 1:
        return None
    path.write_text(whole.replace(mutant.old, mutant.new, 1), "utf-8")
    try:
        command = [sys.executable, "-m", "pytest", "-q", "-x", "--no-header", *mutant.tests.split()]
        done = subprocess.run(command, cwd=tree, capture_output=True, text=True, check=False)
        return done.returncode == 0
    finally:
        path.write_text(whole, "utf-8")


def main(words: list[str]) -> int:
    """Run those that have one of the words in them, or all."""
    chosen = [item for item in MUTANTS if not words or any(word in f"{item.name} {item.file}" for word in words)]
    told: dict[bool | None, str] = {True: "SURVIVES", False: "caught", None: "DOES NOT FIT"}
    found: list[bool | None] = []
    with tempfile.TemporaryDirectory() as folder:
        tree = Path(folder) / "tree"
        for name in ("packet", "templates", "tests", "jobs", "pyproject.toml", "README.md", "DEVELOPERS.md"):
            copy = shutil.copytree if (ROOT / name).is_dir() else shutil.copy2
            (tree / name).parent.mkdir(exist_ok=True)
            copy(ROOT / name, tree / name)
        for item in chosen:
            found.append(survives(item, tree))
            print(f"{told[found[-1]]:<12}  {item.file:<26}  {item.name}", flush=True)
    caught = found.count(False)
    print(f"{caught} of {len(found)} caught")
    return 0 if None not in found and caught >= ENOUGH * len(found) else 1


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
