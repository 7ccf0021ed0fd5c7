"""Choosing the method: push-pull, liquid or vapor, each with its reasons and what speaks against the others.

Rules of thumb are common practice, no source (1-job): see `_against_push_pull`.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from packet.findings import Finding, finding
from packet.ledger.state import CylinderState
from packet.plan.case import Case, isolated_lb
from packet.plan.gauge import site_gauge
from packet.plan.model import Method, Rejected, StageName
from packet.rules.fill import HOT_F
from packet.shop.records import Cylinder, PressureClass
from packet.statements import Amount, Statement, Word, statement
from packet.words import N_

SOURCE = N_("common practice, no source")
PUSH_PULL_LEAST_LB = 10.0
PUSH_PULL_WORTH_LB = 20.0
PUSH_PULL_HEEL_LB = 5.0
VAPOR_ALONE_LB = 5.0
PUSH_PULL_HOSES = 3

Cylinders = tuple[tuple[Cylinder, CylinderState], ...]

STAGES: dict[StageName, tuple[StageName, ...]] = {
    "vapor": ("vapor",),
    "liquid": ("liquid", "vapor"),
    "push-pull": ("push-pull", "vapor"),
}


@dataclass(frozen=True, slots=True)
class Against:
    """What speaks against a method. rules: break one and a forced method is a stop; wishes: only why it was not chosen."""

    rules: tuple[Statement, ...] = ()
    wishes: tuple[Statement, ...] = ()

    @property
    def all(self) -> tuple[Statement, ...]:
        """Both, rules first."""
        return self.rules + self.wishes


def choose_method(case: Case, classes: tuple[PressureClass, ...]) -> tuple[Method, tuple[Finding, ...]]:
    """The method for a job, and a stop for each rule that a forced one breaks.

    classes: the pressure classes the gas may be in. The most capable method that nothing speaks against is taken:
    push-pull, then liquid, then vapor.
    """
    against: dict[StageName, Against] = {
        "push-pull": _against_push_pull(case, classes, case.named.cylinders),
        "liquid": _against_liquid(case, classes),
        "vapor": _against_vapor(case, classes),
    }
    auto: StageName = "vapor"
    for name in ("liquid", "push-pull"):
        if not against[name].all:
            auto = name
    forced = case.job.work.method
    if forced in {"auto", auto}:
        return _method(auto, against, _reasons(auto, case, classes), forced=forced != "auto"), ()
    named = statement("method-forced", method=Word(NAMES[auto]))
    broken = tuple(
        finding(
            "forced-method-breaks-rule",
            case.units,
            source=SOURCE,
            where=case.job.work.where("method"),
            method=Word(NAMES[forced]),
            reason=reason,
            alternative=Word(NAMES[auto]),
        )
        for reason in against[forced].rules
    )
    return _method(forced, against, (named,), forced=True), broken


SHORT_NAMES: dict[StageName, str] = {"push-pull": N_("push-pull"), "liquid": N_("liquid"), "vapor": N_("vapor")}
NAMES: dict[StageName, str] = {
    "push-pull": N_("push-pull, then vapor"),
    "liquid": N_("liquid, then vapor"),
    "vapor": N_("vapor"),
}


def _method(
    chosen: StageName, against: Mapping[StageName, Against], reasons: tuple[Statement, ...], forced: bool
) -> Method:
    rejected = tuple(Rejected(name, item.all) for name, item in against.items() if name != chosen and item.all)
    return Method(chosen, STAGES[chosen], reasons, rejected, forced)


def _reasons(chosen: StageName, case: Case, classes: tuple[PressureClass, ...]) -> tuple[Statement, ...]:
    charge_lb = case.charge_lb.value
    charge = Amount(charge_lb, "charge")
    if chosen == "push-pull" and "low" in classes:
        return (statement("low-never-throttled"), statement("push-pull-then-vapor"))
    if chosen == "push-pull":
        return (
            statement("push-pull-large-charge", charge=charge),
            statement("push-pull-possible"),
            statement("push-pull-then-vapor"),
        )
    if chosen == "liquid":
        reasons = [statement("liquid-faster", charge=charge)]
        if case.job.work.burnout:
            reasons.append(statement("liquid-after-burnout"))
        return tuple(reasons)
    if charge_lb <= VAPOR_ALONE_LB:
        return (statement("vapor-little-charge", charge=charge),)
    return (statement("vapor-always-possible"),)


def _against_push_pull(case: Case, classes: tuple[PressureClass, ...], cylinders: Cylinders) -> Against:
    """Common practice, no source: at least 10 lb, no reversing valve, no accumulator between the ports, a solid column
    of liquid, both ports, a sight glass rated for the pressure, three hoses, cylinders with both valves and at most
    5 lb in them. A low-pressure chiller needs no column. Under 20 lb reconnecting costs more time than it saves.
    """
    charge_lb = case.charge_lb.value
    reasons = [*_system_against_push_pull(case, classes), *_kit_against_push_pull(case)]
    for cylinder, state in cylinders:
        reasons += against_push_pull(cylinder, state)
    wishes = []
    if PUSH_PULL_LEAST_LB <= charge_lb < PUSH_PULL_WORTH_LB:
        wishes.append(statement("push-pull-not-worth", charge=Amount(charge_lb, "charge")))
    return Against(tuple(reasons), tuple(wishes))


def bars_push_pull(cylinder: Cylinder, state: CylinderState) -> bool:
    """Whether one cylinder rules push-pull out: `against_push_pull` says why."""
    return state.contents_lb > PUSH_PULL_HEEL_LB or not {"liquid", "vapor"} <= set(cylinder.valves)


def against_push_pull(cylinder: Cylinder, state: CylinderState) -> list[Statement]:
    """What about one cylinder rules push-pull out."""
    reasons = []
    if not {"liquid", "vapor"} <= set(cylinder.valves):
        reasons.append(statement("cylinder-lacks-a-valve", cylinder=cylinder.id))
    if state.contents_lb > PUSH_PULL_HEEL_LB:
        reasons.append(
            statement(
                "cylinder-holds-too-much",
                cylinder=cylinder.id,
                contents=Amount(state.contents_lb, "weight"),
                heel=Amount(PUSH_PULL_HEEL_LB, "rule-weight"),
            )
        )
    return reasons


def _system_against_push_pull(case: Case, classes: tuple[PressureClass, ...]) -> list[Statement]:
    appliance, charge_lb = case.job.appliance, case.charge_lb.value
    reasons = []
    if charge_lb < PUSH_PULL_LEAST_LB:
        charge, least = Amount(charge_lb, "charge"), Amount(PUSH_PULL_LEAST_LB, "rule-weight")
        reasons.append(statement("push-pull-charge-too-small", charge=charge, least=least))
    if appliance.kind == "heat-pump" or appliance.reversing_valve:
        reasons.append(statement("push-pull-reversing-valve"))
    if appliance.accumulator_between_ports:
        reasons.append(statement("push-pull-accumulator"))
    if not appliance.liquid_column and not _low_pressure_chiller(case, classes):
        reasons.append(statement("push-pull-no-column"))
    if _into_receiver(case):
        reasons.append(statement("isolated-is-vapor"))
    if "liquid" not in appliance.ports:
        reasons.append(statement("liquid-not-reached"))
    if "vapor" not in appliance.ports:
        reasons.append(statement("vapor-not-reached"))
    return reasons


def _kit_against_push_pull(case: Case) -> list[Statement]:
    kit, machine = case.registers.equipment.kit, case.named.machine
    stands = site_gauge(case.gas.bubble_high(case.hottest_F(at_least=HOT_F)), case.barometer_psia).value
    reasons = []
    if not any(glass.count and glass.rating_psig >= stands for glass in kit.sight_glasses):
        reasons.append(statement("no-sight-glass", pressure=Amount(stands, "pressure")))
    if sum(hose.count for hose in kit.hoses) < PUSH_PULL_HOSES:
        reasons.append(statement("fewer-than-three-hoses"))
    if machine is not None and machine.rates_lb_per_min.push_pull is None:
        reasons.append(statement("no-push-pull-rate", machine=machine.id))
    return reasons


def _low_pressure_chiller(case: Case, classes: tuple[PressureClass, ...]) -> bool:
    """A low-pressure chiller: its liquid comes out by the recovery unit's own push-pull. Common practice, no source."""
    return "low" in classes and case.job.appliance.kind == "chiller"


def _into_receiver(case: Case) -> bool:
    """The rest of the charge is pumped into the receiver: what is left in the isolated part is vapor."""
    return isolated_lb(case.job) is not None and case.job.work.isolated_by == "receiver"


def _against_liquid(case: Case, classes: tuple[PressureClass, ...]) -> Against:
    machine, charge_lb = case.named.machine, case.charge_lb.value
    rules, wishes = [], []
    if "liquid" not in case.job.appliance.ports:
        rules.append(statement("liquid-not-reached"))
    if "low" in classes:
        rules.append(statement("low-never-throttled"))
    if _into_receiver(case):
        rules.append(statement("isolated-is-vapor"))
    if machine is not None and machine.rates_lb_per_min.liquid is None:
        rules.append(statement("no-liquid-rate", machine=machine.id))
    if charge_lb <= VAPOR_ALONE_LB:
        charge = Amount(charge_lb, "charge")
        wishes.append(statement("liquid-saves-no-time", charge=charge))
    return Against(tuple(rules), tuple(wishes))


def _against_vapor(case: Case, classes: tuple[PressureClass, ...]) -> Against:
    appliance, charge_lb = case.job.appliance, case.charge_lb.value
    rules, wishes = [], []
    if "low" in classes and appliance.kind == "chiller" and "liquid" in appliance.ports:
        rules.append(statement("chiller-gives-liquid-first"))
    if charge_lb > VAPOR_ALONE_LB:
        charge = Amount(charge_lb, "charge")
        wishes.append(statement("vapor-takes-long", charge=charge))
    return Against(tuple(rules), tuple(wishes))
