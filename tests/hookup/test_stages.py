"""What the lines say: values in them, holds, blanks, the machine's own words, and what each kind of job adds.

Common practice, no published source, unless one stands beside the check.
"""

from dataclasses import replace as changed

import pytest

from packet.hookup import build
from packet.hookup.build import hookup_of
from packet.hookup.model import Hookup, Step
from packet.hookup.program import Program, program_of
from packet.hookup.rig import Rig, build_rig
from packet.hookup.rules import LONGEST_GROUP
from packet.hookup.stages.swap import swap, swap_push_pull
from packet.ledger.fields import FIELDS, suffix
from packet.plan.model import PressureRow
from tests.hookup.variants import (
    CHILLER,
    FLAMMABLE,
    HEADER,
    KIT,
    LIQUID,
    LOW,
    NO_CORE_TOOL,
    PLAIN,
    PUSH_PULL,
    SMALL,
    VARIANTS,
    loaded,
    replace,
    several,
)

# Two rows of 150 mm at 10 pt in our typeface hold some 175 characters.
TWO_ROWS = 175


def steps_of(hookup: Hookup) -> list[Step]:
    """Every printed line, the swap's after the others."""
    stages = [*hookup.stages, *([hookup.swap.stage] if hookup.swap else [])]
    return [step for stage in stages for step in stage.steps]


def texts(hookup: Hookup) -> list[str]:
    """Cautions and words of every line, in the order of print."""
    return [words for step in steps_of(hookup) for words in (*step.cautions, step.text)]


def place(lines: list[str], words: str) -> int:
    """Where a line with these words stands; -1 when there is none."""
    return next((index for index, line in enumerate(lines) if words in line), -1)


def in_order(hookup: Hookup, *words: str) -> bool:
    """Whether lines with these words stand in this order."""
    places = [place(texts(hookup), word) for word in words]
    return -1 not in places and places == sorted(places)


@pytest.mark.parametrize("name", VARIANTS)
def test_every_variant_walks_clean_and_is_whole(name: str) -> None:
    hookup = hookup_of(VARIANTS[name])
    assert [item.message for item in hookup.findings if item.severity != "note"] == []
    assert len(hookup.layouts) == (2 if VARIANTS[name].push_pull and "vapor" in VARIANTS[name].stages else 1)
    assert [stage.number for stage in hookup.stages] == list(range(1, len(hookup.stages) + 1))
    for layout in hookup.layouts:
        assert layout.drawing.svg.startswith("<svg")
        assert layout.hoses
        assert len(layout.title) <= 40


@pytest.mark.parametrize("name", VARIANTS)
def test_what_is_proved_alone_finds_and_takes_the_same(name: str) -> None:
    """A check draws nothing, and still walks everything."""
    whole, proved = hookup_of(VARIANTS[name]), hookup_of(VARIANTS[name], drawn=False)
    assert (proved.findings, proved.kit_list) == (whole.findings, whole.kit_list)
    assert proved.stages == ()


@pytest.mark.parametrize("name", VARIANTS)
def test_holds_stand_only_where_something_is_proven(name: str) -> None:
    """Five for one hookup, two more for a second one, and one in the swap; numbered through the job."""
    request = VARIANTS[name]
    hookup = hookup_of(request)
    holds = [step.hold for stage in hookup.stages for step in stage.steps if step.kind == "hold"]
    assert holds == list(range(1, len(holds) + 1))
    assert len(holds) == (7 if len(hookup.layouts) == 2 else 5)
    if hookup.swap:
        assert sum(step.initials for step in hookup.swap.stage.steps) == 1
    assert all(step.initials == (step.kind == "hold") for step in steps_of(hookup))


@pytest.mark.parametrize("name", VARIANTS)
def test_lines_are_few_short_and_grouped(name: str) -> None:
    """Groups of at most nine (Degani & Wiener, NASA CR-177549, from memory), each with a title; a line is two rows."""
    request = VARIANTS[name]
    hookup = hookup_of(request)
    for stage in [*hookup.stages, *([hookup.swap.stage] if hookup.swap else [])]:
        assert stage.title
        assert 1 <= len(stage.steps) <= LONGEST_GROUP
    for step in steps_of(hookup):
        assert len(step.text) <= TWO_ROWS, step.text
        assert step.text[0].isupper()
        assert step.text[-1] in ".?!:", step.text
        assert "{" not in step.text
        assert all(len(caution) <= 130 for caution in step.cautions), step.cautions
    lines = sum(len(stage.steps) for stage in hookup.stages)
    more = 4 * request.burns + request.unknown + 3 * request.low_pressure + 2 * request.burnout + request.chiller
    more += bool(request.core_tool_ports) + (len(request.cylinders) > 1) + request.permit_space
    assert lines <= (44 if len(hookup.layouts) == 1 else 64) + more, lines


def test_the_value_to_reach_stands_in_the_line() -> None:
    lines = texts(hookup_of(VARIANTS["vapor"]))
    assert place(lines, "Expect 27.5 lb") > 0
    assert place(lines, "“C-118 stops at 61.4 lb”") > 0
    assert place(lines, "10.4 inHg vacuum or deeper; draw on to 13.4–15.4 inHg") > 0
    assert place(lines, "never above 63.0 lb") > 0
    assert place(lines, "Discharge gauge at 350 psig") > 0
    assert place(lines, "At 61.4 lb close the machine inlet") > 0
    assert place(lines, "At 80 °F expect 231 psig to 241 psig") > 0


def test_the_law_s_vacuum_stands_beside_this_gauge_s() -> None:
    lines = texts(hookup_of(replace(PLAIN, gauge_at_site_inHg_vacuum=9.3, law_vacuum_inHg=10.0)))
    assert place(lines, "9.3 inHg vacuum on this gauge (10.0 inHg vacuum at sea level)") > 0


def test_metric_shops_read_kilograms_bar_and_kilopascal() -> None:
    lines = texts(hookup_of(VARIANTS["metric"]))
    # 61.4 lb x 0.45359237 = 27.85 kg; 350 psi / 14.5038 = 24.1 bar; 10.4 inHg x 3.386389 = 35.3 kPa to the deeper side
    assert place(lines, "27.85 kg") > 0
    assert place(lines, "24.1 barg") > 0
    assert place(lines, "35.3 kPa vacuum") > 0
    assert not [line for line in lines if " lb" in line or "psig" in line or "°F" in line]


def test_gauges_are_zeroed_and_standing_pressure_waits_for_them() -> None:
    hookup = hookup_of(LIQUID)
    assert in_order(hookup, "Zero every gauge", "Hose B:", "Write the standing pressure")
    assert in_order(hookup, "Circuit off 15 minutes?", "Refrigerant verified")


def test_an_empty_cylinder_is_looked_at_before_its_first_fill() -> None:
    hookup = hookup_of(VARIANTS["empty-cylinders"])
    assert in_order(hookup, "C-118 vapor valve open a moment: back to vacuum?", "“C-118 stops at")
    assert place(texts(hookup), "Empty cylinder: its valve open a moment, back to vacuum?") > 0
    assert place(texts(hookup_of(LIQUID)), "back to vacuum?") == -1


@pytest.mark.parametrize(
    ("ports", "kit", "said", "never"),
    [
        ({"liquid": "service-valve", "vapor": "service-valve"}, KIT, "liquid service valve to mid-position", "core"),
        ({"liquid": "king-valve", "vapor": "access-valve"}, KIT, "Turn the king valve to mid-position", "core tool"),
        ({"liquid": "access-valve", "vapor": "access-valve"}, KIT, "Open the access valve at the liquid port", "mid-"),
        ({"liquid": "schrader", "vapor": "schrader"}, KIT, "Open the core tool at the liquid port", "mid-position"),
        ({"liquid": "schrader", "vapor": "schrader"}, NO_CORE_TOOL, "Open the shut-off A (appliance end)", "core tool"),
        ({"liquid": "not-stated", "vapor": "not-stated"}, KIT, "treat it as a Schrader", "core tool"),
    ],
)
def test_a_port_is_opened_by_what_its_kind_has(ports: dict[str, str], kit: object, said: str, never: str) -> None:
    hookup = hookup_of(replace(LIQUID, ports=ports, kit=kit))
    lines = texts(hookup)
    assert place(lines, said) > 0, lines
    assert place(lines, never) == -1
    load = loaded(hookup)
    assert ("core tool" in load) == ("Open the core tool" in said)


def test_an_unstated_port_is_asked_for() -> None:
    hookup = hookup_of(VARIANTS["ports-not-stated"])
    assert [(item.code, item.severity) for item in hookup.findings] == [("port-kind-not-stated", "note")]
    assert "liquid port and suction port" in hookup.findings[0].message
    blanks = {blank.key for step in steps_of(hookup) for blank in step.blanks}
    assert {"ports.liquid_kind", "ports.vapor_kind"} <= blanks


def test_a_small_appliance_is_judged_by_weight_after_clearing() -> None:
    """40 CFR 82.156(b), from memory: 80 % without its compressor, or 4 inHg. No rise check is promised where none is done."""
    hookup = hookup_of(SMALL)
    assert in_order(hookup, "4.0 inHg vacuum. Write the gauge", "Machine to “clear (purge)”", "at least 0.32 lb (80 %)")
    assert place(texts(hookup), "Rise check") == -1
    runs = hookup_of(VARIANTS["small-appliance-two-ports"])
    assert place(texts(runs), "its compressor pushes") == -1
    both = replace(VARIANTS["small-appliance-two-ports"], compressor_runs=True)
    assert place(texts(hookup_of(both)), "its compressor pushes the charge out") > 0


@pytest.mark.parametrize("name", VARIANTS)
def test_the_reason_against_a_flame_is_true_of_the_gas(name: str) -> None:
    """Halogens make acid in a flame (safety data sheets, from memory); of what burns, or may, a hydrocarbon makes none."""
    said = " ".join(texts(hookup_of(VARIANTS[name])))
    assert ("no flame, no spark: it may burn or turn into acid" in said) == VARIANTS[name].burns
    assert ("heat turns refrigerant into acid" in said) != VARIANTS[name].burns


def test_what_burns_is_never_pushed_out_by_its_own_compressor() -> None:
    hookup = hookup_of(replace(VARIANTS["small-appliance-propane"], ports={"liquid": "piercing", "vapor": "piercing"}))
    lines = texts(hookup)
    assert place(lines, "Switch the appliance on") == -1
    assert place(lines, "Unplug the appliance") > 0
    assert place(lines, "Never run the appliance to push the charge out") > 0


def test_a_tap_on_the_suction_side_alone_keeps_the_compressor_off() -> None:
    assert place(texts(hookup_of(replace(SMALL, compressor_runs=True))), "Switch the appliance on") == -1


@pytest.mark.parametrize("name", ["liquid-three-cylinders", "push-pull-three", "metric", "chiller-low"])
def test_blanks_bear_the_record_s_keys_each_once(name: str) -> None:
    request = VARIANTS[name]
    hookup = hookup_of(request)
    keys = [blank.key for step in steps_of(hookup) for blank in step.blanks]
    if hookup.swap:
        keys += [blank.key for column in hookup.swap.columns for _, blank in column.blanks]
    assert len(keys) == len(set(keys)), "a reading is asked for twice"
    known = {
        field.key.replace("{cylinder}", cylinder.id) + suffix(field.quantity, request.units)
        for field in FIELDS
        for cylinder in request.cylinders
    }
    outside = {key for key in keys if not key.startswith(("start.", "power.", "ports."))}
    assert outside <= known
    for cylinder in request.cylinders:
        weight = suffix("weight", request.units)
        assert f"cylinders.{cylinder.id}.bare_before_gross{weight}" in keys
        assert f"cylinders.{cylinder.id}.bare_after_gross{weight}" in keys
    assert {"times.start", "times.end", "power.lock_number"} <= set(keys)
    assert any(key.startswith("final.gauge") for key in keys)
    assert any(key.startswith("rise.gauge") for key in keys)


def test_the_shop_s_own_words_for_the_machine() -> None:
    lines = " ".join(texts(hookup_of(VARIANTS["own-words"])))
    for word in ("“VAPOR”", "“LIQUID”", "“SELF-CLEAR”", "“STOP”"):
        assert word in lines
    assert "recover, vapor" not in lines


def test_push_pull_closes_the_liquid_side_before_the_machine_stops() -> None:
    hookup = hookup_of(PUSH_PULL)
    assert in_order(
        hookup, "Close the liquid service valve FIRST", "Close liquid, then vapor valve of C-118", "Push-pull stopped"
    )
    first = next(step.text for step in steps_of(hookup) if "drains" in step.text)
    assert first.index("FIRST") < first.index("drains") < first.index("“off”")


def test_nobody_is_told_to_stop_push_pull_by_the_machine_s_inlet() -> None:
    """Liquid runs on: at the stop weight the appliance's liquid side is closed first."""
    first = hookup_of(PUSH_PULL).layouts[0]
    lines = [step.text for stage in first.stages for step in stage.steps]
    assert place(lines, "At 61.4 lb close the liquid service valve FIRST, finished or not") > 0
    assert place(lines, "At 61.4 lb close the machine inlet") == -1


def test_an_absolute_gauge_is_read_against_absolute_pressures() -> None:
    """5 psi above dew less 2 at 14.7 psi: (-5 - 2 + 14.7) x 51.7 = 398 mmHg (by hand)."""
    row = PressureRow(80.0, -5.0, -5.0, 0.0)
    lines = texts(hookup_of(replace(LOW, bubble_rows=(row,), barometer_psia=14.7)))
    assert place(lines, "At 80 °F expect 398 mmHg absolute to 605 mmHg absolute") > 0


def test_push_pull_s_discharge_gauge_is_the_appliance_s() -> None:
    lines = texts(hookup_of(replace(PUSH_PULL, appliance_side_psig=240.0)))
    assert place(lines, "The discharge gauge is the appliance's side: at 240 psig") > 0


def test_push_pull_pumps_two_circuits_or_one_through_a_header() -> None:
    def pulls(hookup: Hookup) -> int:
        return sum(
            "To 1,000 micron" in step.text
            for step in hookup.layouts[0].stages[3].steps + hookup.layouts[0].stages[2].steps
        )

    assert pulls(hookup_of(PUSH_PULL)) == 2
    assert pulls(hookup_of(replace(PUSH_PULL, kit=HEADER))) == 1


@pytest.mark.parametrize("second", ["", "Ada Quill"])
def test_push_pull_has_people_at_its_places(second: str) -> None:
    hookup = hookup_of(replace(PUSH_PULL, second_needed=True, second=second))
    lines = texts(hookup)
    assert place(lines, f"{second or 'The second person'} stays at the liquid service valve") > 0
    assert place(lines, "signed on the front sheet") > 0
    assert place(texts(hookup_of(PUSH_PULL)), "econd person") == -1


def test_flammable_refrigerant_is_swept_through_hoses_that_are_on() -> None:
    hookup = hookup_of(FLAMMABLE)
    assert in_order(
        hookup,
        "he vacuum holds",
        "Nitrogen slowly to 0 psig",
        "under 25 % of the LFL",
        "Evacuate to 1,000 micron, exhaust outdoors",
        "sweep as before",
        "Hoses off the appliance",
    )
    assert place(texts(hookup), "Loosen") == -1
    load = loaded(hookup)
    assert load["vacuum pump, rated for flammable refrigerant"] == 1
    assert load["refrigerant detector, rated for flammable refrigerant"] == 1
    assert load["left-hand cylinder fitting"] == 1
    assert "vacuum pump" not in load


def test_unknown_gas_is_flammable_and_toxic_in_every_step_and_on_the_load_list() -> None:
    hookup = hookup_of(VARIANTS["unknown"])
    lines = texts(hookup)
    for words in (
        "Put out every flame",
        "Bond machine",
        "Respirator at hand",
        "chemical-resistant gloves",
        "Left-hand thread",
    ):
        assert place(lines, words) > 0, words
    assert in_order(hookup, "Identifier on the", "Refrigerant verified")
    load = loaded(hookup)
    for name in (
        "refrigerant identifier",
        "bonding cable",
        "respirator for organic vapor",
        "left-hand cylinder fitting",
        "vacuum pump, rated for flammable refrigerant",
        "refrigerant detector, rated for flammable refrigerant",
    ):
        assert load[name] >= 1


def test_class_b_that_boils_above_70_f_does_not_freeze_skin() -> None:
    lines = texts(hookup_of(LOW))
    assert place(lines, "freezes skin") == -1
    assert place(lines, "Respirator at hand") > 0
    assert place(lines, "The risk is breathing it") > 0


def test_a_low_pressure_chiller_s_liquid_never_goes_through_a_throttled_inlet() -> None:
    hookup = hookup_of(LOW)
    assert in_order(hookup, "own condenser water", "absolute gauge sits", "Push-pull stopped")
    assert place(texts(hookup), "throttle") == -1
    assert place(texts(hookup), "2 mmHg in 10 minutes") > 0
    assert any(
        "absolute gauge" in line.to_port or "absolute gauge" in line.from_port for line in hookup.layouts[1].hoses
    )


def test_a_low_pressure_machine_that_is_only_opened_is_raised_with_heat() -> None:
    """40 CFR 82.156(a)(1)(ii): raised to no more than 0 psig with controlled heat, not with nitrogen."""
    hookup = hookup_of(VARIANTS["chiller-raised"])
    assert in_order(hookup, "Push-pull stopped", "Raise the shell with warm water", "Hoses off the appliance")
    assert "oxygen-free nitrogen with regulator" not in loaded(hookup)


def test_chillers_keep_their_water_moving() -> None:
    request = replace(CHILLER, water_freezes_psig=31.0)
    hookup = hookup_of(request)
    assert in_order(
        hookup, "condenser water moving", "Oil heater on", "Never below 31 psig while liquid remains", "Water pumps off"
    )


def test_a_burnout_is_pumped_tested_and_dried_with_the_right_drier() -> None:
    hookup = hookup_of(VARIANTS["vapor-burnout"])
    assert place(texts(hookup), "Loosen") == -1
    assert in_order(
        hookup, "New high-acid filter-drier", "Acid test on a small vapor sample", "oil leaves with the compressor"
    )
    assert loaded(hookup)["filter-drier FD-9"] == 2
    assert "filter-drier FD-1" not in loaded(hookup)


def test_pump_down_goes_first_and_the_king_valve_gives_the_liquid() -> None:
    hookup = hookup_of(VARIANTS["pump-down"])
    assert in_order(
        hookup,
        "Leave the power on",
        "Write the standing pressure",
        "Front-seat the king valve",
        "Lock, tag the disconnect",
        "Open manifold high",
        "King valve to mid-position. Open manifold low",
    )


def test_the_isolated_part_by_its_valves_or_by_the_receiver() -> None:
    receiver = hookup_of(VARIANTS["isolated"])
    assert in_order(
        receiver, "Write the standing pressure", "Close the receiver outlet valve", "Close the receiver inlet valve"
    )
    valves = hookup_of(VARIANTS["isolated-by-valves"])
    assert in_order(valves, "front-seat its service valves", "Hose A:")
    assert place(texts(valves), "Start the appliance's compressor") == -1


def test_a_hose_on_a_dip_tube_is_drained_before_it_is_closed() -> None:
    assert in_order(hookup_of(PLAIN), "it drains into C-118. Close the C-118 liquid valve", "Hose D off C-118")
    into_vapor = hookup_of(VARIANTS["vapor-into-vapor"])
    assert place(texts(into_vapor), "drains into C-118") == -1
    for hookup in (hookup_of(PLAIN), into_vapor):
        assert place(texts(hookup), "Outdoors open one end of each hose") > 0


def test_vacuum_is_broken_with_nitrogen_and_not_where_there_is_none() -> None:
    assert in_order(hookup_of(PLAIN), "Nitrogen slowly to 0 psig", "Hoses off the appliance")
    at_zero = replace(PLAIN, gauge_at_site_inHg_vacuum=0.0)
    assert place(texts(hookup_of(at_zero)), "Nitrogen") == -1
    assert place(texts(hookup_of(at_zero)), "keep pulling 2 more minutes") > 0


def test_a_leaking_system_is_not_drawn_past_its_target() -> None:
    lines = texts(hookup_of(VARIANTS["vapor-leaking"]))
    assert place(lines, "draw on to") == -1
    assert place(lines, "Don't go below 0 psig") > 0


@pytest.mark.parametrize(
    "name", ["liquid-three-cylinders", "liquid-four-cylinders-vacuum", "empty-cylinders", "push-pull-three"]
)
def test_one_swap_sequence_however_many_swaps(name: str) -> None:
    """The same words for each swap and in either stage: it is printed once, with a column a swap."""
    request = VARIANTS[name]
    rig = build_rig(request)
    made = set()
    for index in range(len(request.cylinders) - 1):
        ways = (
            [swap_push_pull(rig, index)]
            if request.push_pull
            else [swap(rig, index, "liquid"), swap(rig, index, "vapor")]
        )
        made |= {tuple((line.text, line.cautions) for line in lines) for lines in ways}
    assert len(made) == 1
    hookup = hookup_of(request)
    assert hookup.swap is not None
    assert [(column.old, column.new) for column in hookup.swap.columns] == [
        (old.id, new.id) for old, new in zip(request.cylinders, request.cylinders[1:], strict=False)
    ]
    assert not any(step.blanks for step in hookup.swap.stage.steps)
    numbers = {step.number for step in hookup.swap.stage.steps}
    assert all(number in numbers for column in hookup.swap.columns for number, _ in column.blanks)
    assert {column.change_at for column in hookup.swap.columns} == {"61.0 lb"}


def test_no_layout_of_twenty_cylinders_prints_more_lines() -> None:
    few, many = hookup_of(replace(LIQUID, cylinders=several(2))), hookup_of(replace(LIQUID, cylinders=several(20)))
    assert len(steps_of(few)) == len(steps_of(many))
    assert many.swap is not None
    assert len(many.swap.columns) == 19


def test_a_breach_stops_the_print_and_says_where_and_why(monkeypatch: pytest.MonkeyPatch) -> None:
    def without_a_line(rig: Rig) -> Program:
        program = program_of(rig)
        legs = tuple(
            changed(leg, lines=tuple(line for line in leg.lines if "discharge fully" not in line.text))
            for leg in program.courses[0]
        )
        return changed(program, courses=(legs,))

    monkeypatch.setattr(build, "program_of", without_a_line)
    hookup = hookup_of(PLAIN)
    assert {item.code for item in hookup.findings} == {"walk-failed"}
    assert hookup.layouts == ()
    assert any("closed discharge" in item.message for item in hookup.findings)


@pytest.mark.parametrize("name", VARIANTS)
def test_what_may_go_wrong_stands_once_and_in_a_row_each(name: str) -> None:
    lines = hookup_of(VARIANTS[name]).wrong
    assert len({line.sign for line in lines}) == len(lines)
    assert 6 <= len(lines) <= 14
    assert all(len(line.sign) + len(line.action) <= 125 for line in lines)


def test_a_caution_before_its_line_never_allows_what_the_line_makes_safe() -> None:
    # cautions are printed before their line: one that allows something says that it is allowed after it
    told = {
        caution.casefold()
        for request in VARIANTS.values()
        for step in steps_of(hookup_of(request))
        for caution in step.cautions
    }
    allowing = [words for words in told if "may be opened" in words or "only now" in words]
    assert allowing
    assert [words for words in allowing if not words.startswith("after this line")] == []
