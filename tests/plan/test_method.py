"""The choice of method. Rules of thumb: common practice, no source (1-job)."""

from typing import Any

import pytest

from packet.plan.model import Plan
from packet.shop.records import Fitting, Hose, Rates
from packet.statements import sentences, shown
from tests.plan.builders import codes, cylinder, job, kit, machine, message, plan, registers

RIGHT: dict[str, Any] = {"kind": "rack", "liquid_column": True, "receiver": True}


def reasons(planned: Plan, method: str) -> tuple[str, ...]:
    assert planned.method is not None
    return next(sentences(item.reasons, "US") for item in planned.method.rejected if item.method == method)


def chosen(planned: Plan) -> str:
    assert planned.method is not None
    return planned.method.chosen


def big(**changes: Any) -> Plan:
    appliance = RIGHT | changes.pop("appliance", {})
    shop = registers(
        cylinder(water_capacity_lb=239.0, tare_lb=99.0, **changes.pop("own", {})), **changes.pop("shop", {})
    )
    return plan(job("R-404A", changes.pop("charge", 100.0), appliance=appliance, **changes), shop)


def test_push_pull_where_nothing_speaks_against_it() -> None:
    planned = big()
    assert planned.method is not None
    assert planned.method.chosen == "push-pull"
    assert planned.method.stages == ("push-pull", "vapor")
    assert planned.method.reasons
    assert [item.method for item in planned.method.rejected] == ["vapor"]


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"charge": 9.9}, "The system holds 9.9 lb, less than 10 lb."),
        ({"appliance": {"kind": "heat-pump"}}, "It is a heat pump or has a reversing valve."),
        ({"appliance": {"reversing_valve": True}}, "It is a heat pump or has a reversing valve."),
        (
            {"appliance": {"accumulator_between_ports": True}},
            "There is an accumulator between the ports that would be used.",
        ),
        ({"appliance": {"liquid_column": False}}, "No solid column of liquid is known to form between the ports."),
        ({"appliance": {"ports": ("vapor",)}}, "The liquid side cannot be reached."),
        ({"appliance": {"ports": ("liquid",)}}, "The vapor side cannot be reached."),
        ({"own": {"valves": ("vapor",)}}, "Cylinder C-1 has no liquid and vapor valve both."),
        (
            {"own": {"refrigerant": "R-404A", "contents_lb": 5.1}},
            "Cylinder C-1 already holds 5.1 lb, more than 5 lb.",
        ),
        (
            {"shop": {"machines": (machine(rates_lb_per_min=Rates(liquid=6.0, vapor=0.5)),)}},
            "The maker of machine RM-1 gives no rate for push-pull.",
        ),
        (
            {"shop": {"kit": kit(sight_glasses=(Fitting(id="SG", rating_psig=300),))}},
            "The kit has no sight glass rated for 360 psig.",
        ),
        (
            {
                "shop": {
                    "kit": kit(hoses=(Hose(id="H", count=2, length_ft=5, bore_in=0.25, rating_psig=800),)),
                }
            },
            "The kit has fewer than three hoses.",
        ),
        ({"charge": 15.0}, "For 15.0 lb connecting twice takes longer than push-pull saves."),
    ],
)
def test_each_reason_against_push_pull(changes: dict[str, Any], reason: str) -> None:
    planned = big(**changes)
    assert chosen(planned) != "push-pull"
    assert reason in reasons(planned, "push-pull")


def test_exactly_five_pounds_of_heel_and_twenty_of_charge_are_allowed() -> None:
    assert chosen(big(own={"refrigerant": "R-404A", "contents_lb": 5.0})) == "push-pull"
    assert chosen(big(charge=20.0)) == "push-pull"


def test_liquid_where_push_pull_is_ruled_out() -> None:
    planned = plan(job("R-410A", 12.0))
    assert chosen(planned) == "liquid"
    assert planned.method is not None
    assert planned.method.stages == ("liquid", "vapor")


def test_vapor_for_little_or_where_liquid_cannot_be_reached() -> None:
    assert chosen(plan(job("R-410A", 5.0))) == "vapor"
    assert chosen(plan(job("R-410A", 12.0, appliance={"ports": ("vapor",)}))) == "vapor"
    no_liquid = registers(machines=(machine(rates_lb_per_min=Rates(vapor=0.5)),))
    planned = plan(job("R-410A", 12.0), no_liquid)
    assert chosen(planned) == "vapor"
    assert "The maker of machine RM-1 gives no rate for liquid." in reasons(planned, "liquid")


def test_a_low_pressure_chiller_s_liquid_comes_out_by_push_pull() -> None:
    """Liquid first, then vapor, and never through a throttled compressor inlet. Common practice, no source."""
    planned = big(appliance={"kind": "chiller"}, own={}, charge=100.0)
    assert chosen(planned) == "push-pull"
    shop = registers(cylinder(water_capacity_lb=239.0, tare_lb=99.0))
    low = plan(job("R-123", 100.0, appliance=RIGHT | {"kind": "chiller"}), shop)
    assert chosen(low) == "push-pull"
    assert any("never through a throttled" in reason for reason in reasons(low, "liquid"))
    without_column = {"kind": "chiller", "ports": ("liquid", "vapor")}
    assert chosen(plan(job("R-123", 100.0, appliance=without_column), shop)) == "push-pull"


def test_what_is_left_beside_a_receiver_is_drawn_as_vapor() -> None:
    """The rest of the charge is pumped into the receiver. Common practice, no source."""
    work = {"reason": "repair", "isolated_charge_lb": 15.0, "receiver_capacity_lb": 100.0}
    planned = plan(job("R-404A", 60.0, appliance=RIGHT | {"receiver": True}, work=work))
    assert chosen(planned) == "vapor"
    assert "what is left in the isolated part is vapor" in " ".join(reasons(planned, "liquid"))


@pytest.mark.parametrize("method", ["liquid", "vapor"])
def test_a_forced_method_that_breaks_no_rule_is_followed(method: str) -> None:
    planned = big(work={"reason": "repair", "method": method})
    assert codes(planned) == []
    assert chosen(planned) == method
    assert planned.method is not None
    assert planned.method.forced


def test_a_forced_method_is_a_stop_for_each_rule_it_breaks() -> None:
    planned = big(charge=8.0, appliance={"kind": "heat-pump"}, work={"reason": "repair", "method": "push-pull"})
    broken = [item for item in planned.findings if item.code == "forced-method-breaks-rule"]
    assert [shown(item.params, "US")["reason"] for item in broken] == [
        "The system holds 8.0 lb, less than 10 lb.",
        "It is a heat pump or has a reversing valve.",
    ]
    assert broken[0].remedy == "Set 'method: auto', which gives liquid, then vapor."
    assert not planned.may_go_out


def test_forced_push_pull_between_ten_and_twenty_pounds_breaks_no_rule() -> None:
    planned = big(charge=15.0, work={"reason": "repair", "method": "push-pull"})
    assert codes(planned) == []
    assert chosen(planned) == "push-pull"


def test_ten_pounds_are_not_less_than_ten() -> None:
    assert codes(big(charge=10.0, work={"reason": "repair", "method": "push-pull"})) == []


def test_forced_vapor_on_a_low_pressure_chiller_is_a_stop() -> None:
    shop = registers(cylinder(water_capacity_lb=239.0, tare_lb=99.0))
    the_job = job("R-123", 100.0, appliance={"kind": "chiller"}, work={"reason": "repair", "method": "vapor"})
    assert codes(plan(the_job, shop)) == ["forced-method-breaks-rule"]


def test_the_method_that_would_be_chosen_anyway_may_be_named() -> None:
    planned = big(work={"reason": "repair", "method": "push-pull"})
    assert planned.method is not None
    assert planned.method.forced
    assert codes(planned) == []


def test_push_pull_keeps_more_free_for_clearing() -> None:
    """The whole liquid line and ten seconds of flow: 15 lb/min ÷ 6 = 2.5 lb, and a second hose."""
    fast = big().cylinders[0].clearing_lb.value
    slow = big(work={"reason": "repair", "method": "liquid"}).cylinders[0].clearing_lb.value
    assert 2.5 < fast - slow < 2.8


def test_a_message_of_a_stop_names_the_method_in_words() -> None:
    text, _ = message(
        big(appliance={"kind": "heat-pump"}, work={"reason": "repair", "method": "push-pull"}),
        "forced-method-breaks-rule",
    )
    assert text == "The job forces push-pull, then vapor: It is a heat pump or has a reversing valve."
