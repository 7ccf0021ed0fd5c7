"""What the stages say: values in the steps, holds, blanks, the machine's own words, and what each kind of job adds.

Common practice after 7-sequences.md, no published source, unless one stands beside the check.
"""

import dataclasses

import pytest

from packet.hookup import build
from packet.hookup.build import hookup_of
from packet.hookup.model import Hookup, Stage
from packet.hookup.program import Program, program_of
from packet.hookup.request import Request
from packet.hookup.rig import Rig, build_rig
from packet.hookup.rules import LONGEST_GROUP
from packet.hookup.stages.change import change_over
from packet.ledger.fields import FIELDS, suffix
from tests.hookup.variants import FLAMMABLE, KIT, LIQUID, PLAIN, PUSH_PULL, SMALL, VARIANTS, replace, several

RECOVERING = {"vapor", "liquid", "push-pull"}


def texts(hookup: Hookup, *kinds: str) -> list[str]:
    """Sentences of all steps, or of the stages of these kinds, cautions included."""
    return [
        line
        for stage in hookup.stages
        if not kinds or stage.kind in kinds
        for step in stage.steps
        for line in (step.text, *step.cautions)
    ]


def stage_of(hookup: Hookup, kind: str) -> Stage:
    """The first stage of a kind."""
    return next(stage for stage in hookup.stages if stage.kind == kind)


def place(lines: list[str], words: str) -> int:
    """Where a sentence with these words stands; -1 when there is none."""
    return next((index for index, line in enumerate(lines) if words in line), -1)


@pytest.mark.parametrize("name", VARIANTS)
def test_every_variant_walks_clean_and_is_whole(name: str) -> None:
    hookup = hookup_of(VARIANTS[name])
    assert hookup.findings == ()
    assert [stage.number for stage in hookup.stages] == list(range(1, len(hookup.stages) + 1))
    assert hookup.stages[0].kind == "before"
    assert hookup.stages[-1].kind == "end"
    for stage in hookup.stages:
        assert stage.title
        assert stage.opening
        assert stage.if_wrong
        assert len(stage.interruption) >= 2
        assert (stage.drawing is not None) == (stage.kind in RECOVERING)
        assert bool(stage.hoses) == (stage.kind in RECOVERING)
        assert [step.number for step in stage.steps] == [f"{stage.number}.{n + 1}" for n in range(len(stage.steps))]
        assert stage.steps[-1].kind == "hold"


@pytest.mark.parametrize("name", VARIANTS)
def test_groups_are_of_at_most_nine_and_holds_are_initialled(name: str) -> None:
    """Degani & Wiener, NASA CR-177549, from memory: groups of at most nine, each with an end that is initialled."""
    for stage in hookup_of(VARIANTS[name]).stages:
        since = 0
        for step in stage.steps:
            since += 1
            assert since <= LONGEST_GROUP
            assert step.initials == (step.kind == "hold")
            since = 0 if step.kind == "hold" else since


@pytest.mark.parametrize("name", VARIANTS)
def test_steps_are_short_and_their_sentences_whole(name: str) -> None:
    for line in texts(hookup_of(VARIANTS[name])):
        assert len(line) <= 175, line
        assert line[-1] in ".?!", line
        assert "{" not in line
        assert "  " not in line


def test_the_value_to_reach_stands_in_the_item() -> None:
    hookup = hookup_of(replace(LIQUID, cylinders=several(2)))
    lines = texts(hookup)
    assert place(lines, "Weigh C-118 bare: expect 27.5 lb. Off by more than 0.2 lb") >= 0
    assert place(lines, "C-118 stops at 61.4 lb") >= 0
    assert place(lines, "C-118 at 61.0 lb: stage 5") >= 0
    assert place(lines, "Draw until the gauge reads 10.4 inHg vacuum") >= 0
    assert place(lines, "Discharge gauge at 350 psig: stop and cool C-119") >= 0
    assert place(lines, "never above 63.0 lb") >= 0
    assert place(lines, "20.0 lb check weight") >= 0
    assert place(lines, "Rise check: wait 10 minutes") >= 0
    assert hookup.stages[4].title == "Change over: C-118 off, C-119 on"


def test_metric_shops_read_kilograms_bar_and_kilopascal() -> None:
    lines = texts(hookup_of(VARIANTS["metric"]))
    # 27.5 lb x 0.45359237; 350 psi x 0.0689476; 10.4 inHg x 3.386389, to the deeper side
    assert place(lines, "expect 12.47 kg") >= 0
    assert place(lines, "24.1 barg") >= 0
    assert place(lines, "35.3 kPa vacuum") >= 0
    # what a machine's maker says of its cleared reading is printed as typed
    lines = [line for line in lines if "it is cleared" not in line]
    assert not [line for line in lines if " lb" in line or "psig" in line or "inHg" in line]


def test_a_small_appliance_is_drawn_by_weight() -> None:
    """40 CFR 82.152, from memory: 80 % of the charge without its compressor, 90 % with it."""
    still, runs = hookup_of(SMALL), hookup_of(VARIANTS["small-appliance-runs"])
    assert place(texts(still), "80 % of the charge: 0.3 lb on the scale") >= 0
    assert place(texts(runs), "90 % of the charge: 0.4 lb on the scale") >= 0
    assert place(texts(still), "piercing valve") >= 0
    assert place(texts(still), "Rise check") == -1
    assert place(texts(still), "lock and tag the disconnect") >= 0
    assert place(texts(runs), "Leave the power on") >= 0
    assert place(texts(runs), "Switch the appliance on") < place(
        texts(runs), "Switch the appliance off and pull its plug"
    )


@pytest.mark.parametrize("name", ["liquid-three-cylinders", "push-pull-three", "metric", "chiller-low"])
def test_blanks_bear_the_record_s_keys(name: str) -> None:
    request = VARIANTS[name]
    hookup = hookup_of(request)
    keys = [blank.key for stage in hookup.stages for step in stage.steps for blank in step.blanks]
    assert len(keys) == len(set(keys)), "a reading is asked for twice"
    known = {
        field.key.replace("{cylinder}", cylinder.id) + suffix(field.quantity, request.units)
        for field in FIELDS
        for cylinder in request.cylinders
    }
    assert {key for key in keys if not key.startswith("start.")} <= known
    for cylinder in request.cylinders:
        weight = suffix("weight", request.units)
        before = keys.index(f"cylinders.{cylinder.id}.bare_before_gross{weight}")
        after = keys.index(f"cylinders.{cylinder.id}.bare_after_gross{weight}")
        assert before < after
    assert "times.start" in keys
    assert "times.end" in keys
    assert any(key.startswith("final.gauge") for key in keys)
    assert any(key.startswith("rise.gauge") for key in keys)


def test_the_shop_s_own_words_for_the_machine() -> None:
    lines = texts(hookup_of(VARIANTS["own-words"]))
    for word in ("“VAPOR”", "“LIQUID”", "“SELF-CLEAR”", "“STOP”"):
        assert place(lines, word) >= 0
    neutral = texts(hookup_of(LIQUID))
    assert place(neutral, "“recover, vapor”") >= 0
    assert place(neutral, "“clear (purge)”") >= 0
    assert place(neutral, "15 inHg vacuum on the inlet gauge") >= 0
    assert place(texts(hookup_of(replace(LIQUID, clear_to=""))), "the reading its maker gives") >= 0


def test_push_pull_shuts_the_appliance_liquid_valve_before_the_machine_stops() -> None:
    hookup = hookup_of(PUSH_PULL)
    lines = texts(hookup, "push-pull")
    first = place(lines, "Shut the appliance liquid valve first")
    order = [
        first,
        place(lines, "Let hose A drain"),
        place(lines, "Set the machine to “off”"),
        place(lines, "Shut the C-118 liquid valve"),
        place(lines, "Shut the C-118 vapor valve"),
    ]
    assert order == sorted(order)
    assert first > 0
    assert [stage.kind for stage in hookup.stages] == ["before", "join", "push-pull", "join", "vapor", "end"]
    drawings = [stage.drawing for stage in hookup.stages if stage.drawing]
    assert len(drawings) == 2
    assert "appliance liquid valve" in stage_of(hookup, "push-pull").interruption[0]


def test_flammable_gas_is_never_pushed_into_the_room() -> None:
    for request in (FLAMMABLE, replace(FLAMMABLE, space="outdoors", room_is_small=False)):
        lines = texts(hookup_of(request))
        assert place(lines, "until gas has pushed the air out") == -1
        assert place(lines, "1,000 or less") >= 0
        assert place(lines, "Left-hand thread") >= 0
        assert place(lines, "Bond machine") >= 0
        assert place(lines, "Put out every flame") >= 0
        assert place(lines, "Its exhaust goes outdoors") >= 0
        assert place(lines, "under 25 % of the lower flammability limit") >= 0


def test_policy_decides_purge_and_receiving_valve() -> None:
    assert place(texts(hookup_of(PLAIN)), "until gas has pushed the air out") >= 0
    assert place(texts(hookup_of(VARIANTS["vapor-vacuum"])), "until gas has pushed the air out") == -1
    assert place(texts(hookup_of(PLAIN)), "Join hose D: machine discharge to C-118 liquid valve") >= 0
    assert place(texts(hookup_of(VARIANTS["vapor-into-vapor"])), "machine discharge to C-118 vapor valve") >= 0
    assert place(texts(hookup_of(VARIANTS["vapor-one-valve"])), "machine discharge to F-202 vapor valve") >= 0


def test_chillers_keep_their_water_moving() -> None:
    hookup = hookup_of(VARIANTS["chiller"])
    lines = texts(hookup)
    start, stop = place(lines, "Start the evaporator and condenser water pumps"), place(lines, "Stop the water pumps")
    assert 0 < start < place(lines, "Join hose A") < place(lines, "Rise check") < stop
    assert place(lines, "Water moving on both bundles?") >= 0
    assert [stage.kind for stage in hookup.stages][2:4] == ["liquid", "vapor"]


def test_low_pressure_chillers_have_an_absolute_target_and_a_disc() -> None:
    lines = texts(hookup_of(VARIANTS["chiller-low"]))
    # 40 CFR 82.156 table 1: 25 mmHg absolute
    assert place(lines, "25 mmHg absolute") >= 0
    assert place(lines, "never above 10 psig: its rupture disc opens at 15 psig") >= 0
    raised = texts(hookup_of(VARIANTS["chiller-raised"]))
    # 40 CFR 82.156(a)(1)(ii): raised to no more than 0 psig with controlled heat
    assert place(raised, "Raise the shell with warm water or the heater to 0 psig and no higher. No nitrogen.") >= 0
    assert place(raised, "25 mmHg absolute") == -1
    assert place(raised, "Recover vapor") == -1


def test_a_burnout_has_a_drier_and_acid_words_whatever_the_kit() -> None:
    lines = texts(hookup_of(VARIANTS["vapor-burnout"]))
    assert place(lines, "new high-acid filter-drier") >= 0
    assert place(lines, "acid-proof gloves") >= 0
    assert place(lines, "Warm the oil to 130 °F") >= 0
    missing = hookup_of(replace(VARIANTS["vapor-burnout"], kit=KIT.model_copy(update={"filter_driers": ()})))
    assert [item.code for item in missing.findings] == ["kit-missing"]
    assert "filter-drier" in missing.findings[0].message


def test_places_add_their_steps() -> None:
    roof = texts(hookup_of(VARIANTS["vapor-rooftop"]))
    assert place(roof, "Tie the ladder off") >= 0
    permit = texts(hookup_of(VARIANTS["permit"]))
    assert place(permit, "fill in and post the permit") >= 0
    # 29 CFR 1910.146(b), from memory
    assert place(permit, "between 19.5 and 23.5 %") >= 0
    plain = texts(hookup_of(PLAIN))
    for words in ("ladder", "permit", "oxygen and", "detector on"):
        assert place(plain, words) == -1


def test_what_traps_gas_is_opened() -> None:
    assert place(texts(hookup_of(PLAIN)), "Hold solenoid and expansion valves open") >= 0
    assert place(texts(hookup_of(PUSH_PULL)), "Open the king valve") >= 0
    assert place(texts(hookup_of(VARIANTS["heat-pump"])), "check valves") >= 0
    isolated = texts(hookup_of(VARIANTS["isolated"]))
    order = [
        place(isolated, "Shut the king valve"),
        place(isolated, "Run the appliance's compressor"),
        place(isolated, "Stop the compressor"),
        place(isolated, "Shut the receiver inlet valve"),
        place(isolated, "Lock and tag the disconnect"),
    ]
    assert order == sorted(order)
    assert order[0] > 0


def test_a_leaking_system_is_not_drawn_past_the_target() -> None:
    lines = texts(hookup_of(VARIANTS["vapor-leaking"]))
    assert place(lines, "no deeper") >= 0
    assert place(lines, "minutes past it") == -1
    assert place(lines, "stop at 0 psig") >= 0


def test_unknown_gas_is_treated_as_mixed() -> None:
    lines = texts(hookup_of(VARIANTS["unknown"]))
    assert place(lines, "Nobody knows this gas") >= 0
    assert place(lines, "until gas has pushed the air out") == -1


def test_a_torch_waits_for_nitrogen() -> None:
    lines = texts(hookup_of(replace(PLAIN, torch=True)), "end")
    assert place(lines, "oxygen-free nitrogen") >= 0
    assert place(lines, "acid and toxic gas") >= 0
    assert place(texts(hookup_of(PLAIN), "end"), "nitrogen") == -1


def test_float_switches_have_their_cable_and_their_caution() -> None:
    lines = texts(hookup_of(VARIANTS["vapor-two-vacuum"]))
    assert sum("Plug in the float-switch cable" in line for line in lines) == 2
    assert place(lines, "never a replacement for the scale") >= 0
    assert place(texts(hookup_of(PLAIN)), "float-switch") == -1


@pytest.mark.parametrize("request_", [replace(LIQUID, cylinders=several(3)), VARIANTS["liquid-four-cylinders-vacuum"]])
def test_a_change_over_reads_the_same_in_liquid_and_in_vapor(request_: Request) -> None:
    """It is printed once and done in whichever stage the scale says so."""
    rig = build_rig(request_)
    for index in range(len(request_.cylinders) - 1):
        liquid, vapor = (change_over(rig, index, during) for during in ("liquid", "vapor"))
        assert [act.text for act in liquid] == [act.text for act in vapor]
        assert [act.cautions for act in liquid] == [act.cautions for act in vapor]


def test_a_breach_stops_the_print_and_says_where_and_why(monkeypatch: pytest.MonkeyPatch) -> None:
    def without_the_start_hold(rig: Rig) -> Program:
        program = program_of(rig)
        course = program.courses[0]
        legs = tuple(
            dataclasses.replace(
                leg, acts=tuple(act for act in leg.acts if not act.text.startswith("Open the machine discharge"))
            )
            for leg in course
        )
        return dataclasses.replace(program, courses=(legs,))

    monkeypatch.setattr(build, "program_of", without_the_start_hold)
    # fewer states than steps: only the findings are looked at
    monkeypatch.setattr(build, "_stages", lambda *_: ())
    findings = hookup_of(PLAIN).findings
    assert {item.code for item in findings} == {"walk-failed"}
    assert all(item.severity == "stop" for item in findings)
    message = next(item.message for item in findings if "discharge" in item.message)
    assert message.startswith("Stage 3, step 3.")
    assert "shut discharge" in " ".join(item.message for item in findings)


def test_one_word_for_liquid_and_vapor_is_said_once() -> None:
    """Some machines have one recovering position: nobody is told to turn a switch to where it stands."""
    same = LIQUID.controls.model_copy(update={"recover_vapor": "RECOVER", "recover_liquid": "RECOVER"})
    lines = texts(hookup_of(replace(LIQUID, controls=same, cylinders=several(2))))
    assert place(lines, "Leave the machine running on “RECOVER”.") >= 0
    assert place(lines, "“RECOVER” or “RECOVER”") == -1


def test_a_chiller_whose_charge_is_pumped_down_keeps_power_until_then() -> None:
    isolated = replace(VARIANTS["chiller"], receiver=True, isolated=True)
    lines = texts(hookup_of(isolated))
    order = [place(lines, "compressor and water pumps are needed"), place(lines, "Run the appliance's compressor")]
    order.append(place(lines, "Lock out the compressor; leave the water pumps on"))
    assert order == sorted(order)
    assert order[0] > 0
