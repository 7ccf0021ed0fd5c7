"""Choosing the method: push-pull, liquid or vapor, each with its reasons and what speaks against the others.

Rules of thumb are common practice, no source (1-job): see `_against_push_pull`.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from packet.figures import show_pressure, show_weight
from packet.findings import Finding, finding
from packet.ledger.state import CylinderState
from packet.plan.case import Case, show_charge
from packet.plan.gauge import site_gauge
from packet.plan.model import Method, Rejected, StageName
from packet.rules.fill import HOT_F
from packet.shop.records import Cylinder, PressureClass
from packet.units import UnitSystem
from packet.words import N_, t

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

    rules: tuple[str, ...] = ()
    wishes: tuple[str, ...] = ()

    @property
    def all(self) -> tuple[str, ...]:
        """Both, rules first."""
        return self.rules + self.wishes


def choose_method(case: Case, classes: tuple[PressureClass, ...]) -> tuple[Method, tuple[Finding, ...]]:
    """The method for a job, and a stop for each rule that a forced one breaks.

    classes: the pressure classes the gas may be in. The most capable method that nothing speaks against is taken:
    push-pull, then liquid, then vapor.
    """
    against: dict[StageName, Against] = {
        "push-pull": _against_push_pull(case, classes, case.named.cylinders),
        "liquid": _against_liquid(case),
        "vapor": _against_vapor(case, classes),
    }
    auto: StageName = "vapor"
    for name in ("liquid", "push-pull"):
        if not against[name].all:
            auto = name
    forced = case.job.work.method
    if forced in {"auto", auto}:
        return _method(auto, against, _reasons(auto, case, classes), forced=forced != "auto"), ()
    named = t("The job names this method; left to itself the packet would choose {method}.", method=t(NAMES[auto]))
    broken = tuple(
        finding(
            "forced-method-breaks-rule",
            source=t(SOURCE),
            where=case.job.work.where("method"),
            method=t(NAMES[forced]),
            reason=reason,
            alternative=t(NAMES[auto]),
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


def _method(chosen: StageName, against: Mapping[StageName, Against], reasons: tuple[str, ...], forced: bool) -> Method:
    rejected = tuple(Rejected(name, item.all) for name, item in against.items() if name != chosen and item.all)
    return Method(chosen, STAGES[chosen], reasons, rejected, forced)


def _reasons(chosen: StageName, case: Case, classes: tuple[PressureClass, ...]) -> tuple[str, ...]:
    charge_lb = case.charge_lb.value
    charge = show_charge(charge_lb, case.units)
    if chosen == "push-pull":
        return (
            t(
                "{charge} is a large charge: push-pull moves it fastest, and the machine never sees liquid.",
                charge=charge,
            ),
            t("Liquid and vapor can be reached, a solid column of liquid can form, and nothing speaks against it."),
            t("What push-pull leaves behind is drawn as vapor."),
        )
    if chosen == "liquid":
        reasons = [
            t(
                "The liquid side can be reached: {charge} comes out faster as liquid, and the rest as vapor.",
                charge=charge,
            )
        ]
        if "low" in classes:
            reasons.append(t("Low pressure: liquid out first, then vapor, so that no tube freezes."))
        if case.job.work.burnout:
            reasons.append(t("After a burnout the liquid carries acid and oil: new filter-drier ahead of the machine."))
        return tuple(reasons)
    if charge_lb <= VAPOR_ALONE_LB:
        return (t("{charge} is little: drawing it as vapor alone is quick and needs the fewest hoses.", charge=charge),)
    return (t("Vapor can always be drawn, and the other methods are ruled out."),)


def push_pull_but_for_cylinders(case: Case, classes: tuple[PressureClass, ...]) -> bool:
    """Whether other cylinders could make this a push-pull job: what is offered must have room for that as well."""
    wanted = case.job.work.method in {"auto", "push-pull"}
    return wanted and not _against_push_pull(case, classes, ()).all


def _against_push_pull(case: Case, classes: tuple[PressureClass, ...], cylinders: Cylinders) -> Against:
    """Common practice, no source: at least 10 lb, no reversing valve, no accumulator between the ports, a solid column
    of liquid, both ports, a sight glass rated for the pressure, three hoses, cylinders with both valves and at most
    5 lb in them. Low pressure: liquid, then vapor. Under 20 lb hosing up again costs more time than it saves.
    """
    charge_lb, units = case.charge_lb.value, case.units
    reasons = [*_system_against_push_pull(case, classes), *_kit_against_push_pull(case)]
    for cylinder, state in cylinders:
        if not {"liquid", "vapor"} <= set(cylinder.valves):
            reasons.append(t("Cylinder {cylinder} has no liquid and vapor valve both.", cylinder=cylinder.id))
        if state.contents_lb > PUSH_PULL_HEEL_LB:
            reasons.append(
                t(
                    "Cylinder {cylinder} already holds {contents}, more than {heel}.",
                    cylinder=cylinder.id,
                    contents=show_weight(state.contents_lb, units),
                    heel=_rule_weight(PUSH_PULL_HEEL_LB, units),
                )
            )
    wishes = []
    if PUSH_PULL_LEAST_LB <= charge_lb < PUSH_PULL_WORTH_LB:
        wishes.append(
            t(
                "For {charge} hosing up twice takes longer than push-pull saves.",
                charge=show_charge(charge_lb, units),
            )
        )
    return Against(tuple(reasons), tuple(wishes))


def _system_against_push_pull(case: Case, classes: tuple[PressureClass, ...]) -> list[str]:
    appliance, units, charge_lb = case.job.appliance, case.units, case.charge_lb.value
    reasons = []
    if charge_lb < PUSH_PULL_LEAST_LB:
        charge, least = show_charge(charge_lb, units), _rule_weight(PUSH_PULL_LEAST_LB, units)
        reasons.append(t("The system holds {charge}, less than {least}.", charge=charge, least=least))
    if appliance.kind == "heat-pump" or appliance.reversing_valve:
        reasons.append(t("It is a heat pump or has a reversing valve."))
    if appliance.accumulator_between_ports:
        reasons.append(t("There is an accumulator between the ports that would be used."))
    if not appliance.liquid_column:
        reasons.append(t("No solid column of liquid is known to form between the ports."))
    if "low" in classes:
        reasons.append(t("The refrigerant is low pressure: its liquid is drawn first, then its vapor."))
    if "liquid" not in appliance.ports:
        reasons.append(t("The liquid side cannot be reached."))
    if "vapor" not in appliance.ports:
        reasons.append(t("The vapor side cannot be reached."))
    return reasons


def _kit_against_push_pull(case: Case) -> list[str]:
    kit, machine = case.registers.equipment.kit, case.named.machine
    stands = site_gauge(case.gas.bubble_high(case.hottest_F(at_least=HOT_F)), case.barometer_psia).value
    reasons = []
    if not any(glass.count and glass.rating_psig >= stands for glass in kit.sight_glasses):
        reasons.append(
            t("The kit has no sight glass rated for {pressure}.", pressure=show_pressure(stands, case.units))
        )
    if sum(hose.count for hose in kit.hoses) < PUSH_PULL_HOSES:
        reasons.append(t("The kit has fewer than three hoses."))
    if machine is not None and machine.rates_lb_per_min.push_pull is None:
        reasons.append(t("The maker of machine {machine} gives no rate for push-pull.", machine=machine.id))
    return reasons


def _rule_weight(lb: float, units: UnitSystem) -> str:
    """A weight of a rule of thumb: whole pounds, or kilograms with one decimal."""
    return show_weight(lb, units, 0 if units == "US" else 1)


def _against_liquid(case: Case) -> Against:
    machine, charge_lb = case.named.machine, case.charge_lb.value
    rules, wishes = [], []
    if "liquid" not in case.job.appliance.ports:
        rules.append(t("The liquid side cannot be reached."))
    if machine is not None and machine.rates_lb_per_min.liquid is None:
        rules.append(t("The maker of machine {machine} gives no rate for liquid.", machine=machine.id))
    if charge_lb <= VAPOR_ALONE_LB:
        charge = show_charge(charge_lb, case.units)
        wishes.append(t("{charge} is little: drawing liquid first saves no time.", charge=charge))
    return Against(tuple(rules), tuple(wishes))


def _against_vapor(case: Case, classes: tuple[PressureClass, ...]) -> Against:
    appliance, charge_lb = case.job.appliance, case.charge_lb.value
    rules, wishes = [], []
    if "low" in classes and appliance.kind == "chiller" and "liquid" in appliance.ports:
        rules.append(t("A low-pressure chiller gives its liquid first, then its vapor, so that no tube freezes."))
    if charge_lb > VAPOR_ALONE_LB:
        charge = show_charge(charge_lb, case.units)
        wishes.append(t("Drawing {charge} as vapor alone takes far longer.", charge=charge))
    return Against(tuple(rules), tuple(wishes))
