"""Whether each cylinder may take this job's gas, and which cylinders of the register would."""

from collections.abc import Callable, Container, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from packet.findings import KINDS, Finding, finding
from packet.ledger.state import CylinderState
from packet.plan.case import Case
from packet.plan.cylinder import Weights, room_lb, stop_gross_lb, weights
from packet.plan.gas import Gas
from packet.plan.gauge import site_gauge
from packet.plan.method import Cylinders, bars_push_pull
from packet.plan.mixed import MIXED_GAS
from packet.plan.setting import FillSetting, Ways
from packet.refrigerant.catalogue import UnknownRefrigerant, find
from packet.refrigerant.own import MIXED, is_mixed
from packet.rules import fitness
from packet.rules.spec import read_spec
from packet.rules.stop import Terms
from packet.shop.records import Cylinder, Month
from packet.statements import Amount, Param, Statement, Word, statement
from packet.units import STANDARD_ATMOSPHERE_PSIA, UnitSystem, ceil_to
from packet.words import N_
from packet.worked import given


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a cylinder is refused (or cautioned about): a code with its parameters, candidates still to be named."""

    code: str
    source: str
    params: tuple[tuple[str, Param], ...]


def requalify_by(cylinder: Cylinder) -> date | None:
    """The last day on which it may be filled; None where the register names no month."""
    month: Month | None = cylinder.tested or cylinder.made
    return fitness.requalify_by(month.year, month.month) if month else None


def refusals(cylinder: Cylinder, state: CylinderState, setting: FillSetting) -> tuple[Refusal, ...]:
    """Everything that speaks against filling this cylinder on this job, room aside. See `fitness` for the sources."""
    return (
        *_paper(cylinder, setting.day),
        *_pressures(cylinder, setting.of(state).gas, setting),
        *_contents(state, cylinder, setting),
        *_flammable(cylinder, setting.gas),
    )


def _refusal(code: str, cylinder: Cylinder, source: str, **params: Param) -> Refusal:
    return Refusal(code, source, (("cylinder", cylinder.id), *params.items()))


def _paper(cylinder: Cylinder, day: date) -> list[Refusal]:
    found = []
    spec = read_spec(cylinder.spec)
    if cylinder.out_of_service:
        found.append(
            _refusal("cylinder-out-of-service", cylinder, N_("the shop's register"), reason=cylinder.out_of_service)
        )
    if spec is not None and not spec.refillable:
        found.append(_refusal("cylinder-non-refillable", cylinder, fitness.SOURCE_REFILL, spec=cylinder.spec))
    elif spec is None or spec.service_psig is None:
        found.append(_refusal("cylinder-spec-unknown", cylinder, fitness.SOURCE_PRESSURE, spec=cylinder.spec))
    due = requalify_by(cylinder)
    if due is None:
        found.append(_refusal("cylinder-test-unknown", cylinder, fitness.SOURCE_TEST))
    elif day > due:
        found.append(_refusal("cylinder-out-of-test", cylinder, fitness.SOURCE_TEST, due=f"{due:%Y-%m}"))
    return found


def least_packaging_psig(gas: Gas) -> float:
    """The least service pressure of a packaging for the job's gas, psig."""
    named = gas.refrigerant
    return fitness.least_packaging_psig(named.name if named else None, named.hazard_class if named else None)


def _pressures(cylinder: Cylinder, gas: Gas, setting: FillSetting) -> list[Refusal]:
    spec = read_spec(cylinder.spec)
    if spec is None or spec.service_psig is None or not spec.refillable:
        return []
    service = spec.service_psig
    at_131 = gas.bubble_high(setting.hot_F).value - STANDARD_ATMOSPHERE_PSIA
    at_70 = gas.bubble_high(given(70.0, "°F", fitness.SOURCE_PRESSURE, places=1)).value - STANDARD_ATMOSPHERE_PSIA
    least = least_packaging_psig(gas)
    needed = Amount(float(ceil_to(fitness.needed_service_psig(at_131, at_70, least), 1)), "pressure")
    allowed = fitness.allowed_at_131F_psig(fitness.typed_service_psig(service, cylinder.spec)).value
    found = []
    if service < least:
        found.append(
            _refusal(
                "cylinder-packaging",
                cylinder,
                fitness.SOURCE_PACKAGING,
                refrigerant=gas.called,
                service=Amount(service, "pressure"),
                limit=Amount(least, "pressure"),
                needed=needed,
            )
        )
    if at_131 > allowed:
        listed = gas.refrigerant is not None and fitness.listed_packaging_allows(gas.refrigerant.name, service)
        found.append(
            _refusal(
                "cylinder-pressure-131F-listed" if listed else "cylinder-pressure-131F",
                cylinder,
                fitness.SOURCE_PRESSURE,
                refrigerant=gas.called,
                pressure=Amount(at_131, "exact-pressure"),
                temperature=Amount(setting.hot_F.value, "temperature"),
                limit=Amount(allowed, "exact-pressure"),
                needed=needed,
            )
        )
    if at_70 > service:
        found.append(
            _refusal(
                "cylinder-pressure-70F",
                cylinder,
                fitness.SOURCE_PRESSURE,
                refrigerant=gas.called,
                pressure=Amount(at_70, "exact-pressure"),
                temperature=Amount(70.0, "temperature"),
                limit=Amount(service, "exact-pressure"),
                needed=needed,
            )
        )
    return found


def _contents(state: CylinderState, cylinder: Cylinder, setting: FillSetting) -> list[Refusal]:
    gas = setting.gas
    kept_for_mixed = is_mixed(state.refrigerant) or is_mixed(cylinder.refrigerant)
    if gas.refrigerant is None or gas.refrigerant.own:
        # a composition is one analysis of one gas: what the cylinder then holds is known by adding up
        return [] if kept_for_mixed else [_refusal("cylinder-not-mixed", cylinder, fitness.SOURCE_CONTENTS)]
    if is_mixed(cylinder.refrigerant):
        return [
            _refusal(
                "cylinder-other-contents",
                cylinder,
                fitness.SOURCE_CONTENTS,
                contents=Word(MIXED_GAS),
                refrigerant=gas.called,
            )
        ]
    held = state.refrigerant
    if held is not None and _designation(held) != gas.refrigerant.name:
        contents = Word(MIXED_GAS) if is_mixed(held) else held
        return [
            _refusal(
                "cylinder-other-contents", cylinder, fitness.SOURCE_CONTENTS, contents=contents, refrigerant=gas.called
            )
        ]
    if setting.job.work.burnout and state.contents_lb > 0.0:
        weight = Amount(state.contents_lb, "weight")
        there = statement("gas-amount", weight=weight, refrigerant=gas.called)
        return [_refusal("cylinder-burnout", cylinder, fitness.SOURCE_CONTENTS, contents=there)]
    return []


def _designation(name: str) -> str:
    """The designation of what a ledger says in whatever spelling; 'mixed' stays as it is."""
    try:
        return find(name).name
    except UnknownRefrigerant:
        return name


def _flammable(cylinder: Cylinder, gas: Gas) -> list[Refusal]:
    if cylinder.flammable_rated:
        return []
    if gas.refrigerant is None:
        what = statement("this-cylinder", cylinder=cylinder.id)
        return [_refusal("unknown-gas-may-burn", cylinder, fitness.SOURCE_FLAMMABLE, refrigerant=gas.called, what=what)]
    if gas.refrigerant.flammable:
        return [
            _refusal(
                "cylinder-not-flammable-rated",
                cylinder,
                fitness.SOURCE_FLAMMABLE,
                refrigerant=gas.called,
                group=gas.refrigerant.safety_group,
            )
        ]
    return []


def stops(found: tuple[Refusal, ...]) -> bool:
    """Whether one of the refusals stops the job, rather than cautioning."""
    return any(KINDS[item.code].severity == "stop" for item in found)


class Kind(NamedTuple):
    """What fitness looks at on a cylinder, contents aside: cylinders of one kind are fit for the same jobs."""

    spec: str
    tested: tuple[int, int] | None
    made: tuple[int, int] | None
    in_service: bool
    flammable_rated: bool
    kept_for_mixed: bool
    both_valves: bool


def passes_on_paper(cylinder: Cylinder, day: date) -> bool:
    """Whether service, specification and test let it be filled on a day, whatever the job."""
    return not stops(tuple(_paper(cylinder, day)))


Stamp = tuple[float, float, float | None]
_OfAKind = tuple[tuple[Cylinder, ...], ...]


def kind_of(cylinder: Cylinder) -> Kind:
    """The cylinder's kind."""
    tested, made = cylinder.tested, cylinder.made
    return Kind(
        cylinder.spec,
        (tested.year, tested.month) if tested else None,
        (made.year, made.month) if made else None,
        not cylinder.out_of_service,
        cylinder.flammable_rated,
        is_mixed(cylinder.refrigerant),
        {"liquid", "vapor"} <= set(cylinder.valves),
    )


def stamp_of(cylinder: Cylinder) -> Stamp:
    """The figures stamped on a cylinder that its weights come from: water capacity, tare, maximum gross weight, lb."""
    return cylinder.water_capacity_lb, cylinder.tare_lb, cylinder.max_gross_lb


class Looked:
    """What one job would make of cylinders: fit or not, and the room in each. Those alike are looked at once.

    A large register has twenty thousand cylinders of some dozens of kinds and sizes. kept: the cylinders that the job
    has beside the one looked at, which can rule push-pull out.
    """

    def __init__(self, ways: Ways, kept: Cylinders) -> None:
        self._ways, self._kept = ways, kept
        self._barred = any(bars_push_pull(cylinder, state) for cylinder, state in kept)
        self._settings: dict[bool, FillSetting] = {}
        self._fit: dict[tuple[object, ...], bool] = {}
        self._stop_lb: dict[tuple[bool, Stamp], float] = {}
        self._terms: dict[bool, Terms] = {}

    def setting(self, cylinder: Cylinder, state: CylinderState) -> FillSetting:
        """The job's setting with this cylinder."""
        barred = self._barred or bars_push_pull(cylinder, state)
        if barred not in self._settings:
            self._settings[barred] = self._ways.setting((*self._kept, (cylinder, state)))
        return self._settings[barred]

    def fits(self, cylinder: Cylinder, state: CylinderState, kind: Kind, *, lasting: bool = False) -> bool:
        """Whether nothing stops it. kind: the cylinder's. lasting: its test and its being in service aside."""
        setting = self.setting(cylinder, state)
        if setting.of(state) is not setting:  # a mix of what comes and what is there: no two are alike
            if stops(tuple(_contents(state, cylinder, setting))):
                return False  # the cheapest look first: most cylinders are not kept for mixed gas
            return not stops(_lasting(refusals(cylinder, state, setting), lasting))
        holds = (state.refrigerant, state.contents_lb > 0.0, kind.kept_for_mixed)
        return self._once(holds, lambda: tuple(_contents(state, cylinder, setting))) and self.kind_fits(
            cylinder, setting, kind, lasting=lasting
        )

    def kind_fits(self, cylinder: Cylinder, setting: FillSetting, kind: Kind, *, lasting: bool = False) -> bool:
        """Whether nothing but what is in it stops a cylinder of this kind."""
        return (
            self._once((kind[:4], lasting), lambda: _lasting(tuple(_paper(cylinder, setting.day)), lasting))
            and self._once((kind.flammable_rated,), lambda: tuple(_flammable(cylinder, setting.gas)))
            and self._once((kind.spec,), lambda: tuple(_pressures(cylinder, setting.gas, setting)))
        )

    def _once(self, key: tuple[object, ...], found: Callable[[], tuple[Refusal, ...]]) -> bool:
        if key not in self._fit:
            self._fit[key] = not stops(found())
        return self._fit[key]

    def stop_gross_lb(self, cylinder: Cylinder, state: CylinderState) -> float:
        """Where this job would stop filling it, lb."""
        setting = self.setting(cylinder, state)
        if setting.of(state) is not setting:
            return weights(cylinder, state, setting).stop_gross_lb.value
        push_pull = "push-pull" in setting.stages
        key = (push_pull, stamp_of(cylinder))
        if key not in self._stop_lb:
            if push_pull not in self._terms:
                self._terms[push_pull] = setting.terms(setting.fill_F)
            self._stop_lb[key] = stop_gross_lb(cylinder, setting, self._terms[push_pull])
        return self._stop_lb[key]

    def free_lb(self, cylinder: Cylinder, state: CylinderState) -> float:
        """The room in it, lb: as `weights` has it."""
        return room_lb(self.stop_gross_lb(cylinder, state), cylinder.tare_lb, state.contents_lb)

    def rooms(
        self, kind: Kind, lots: _OfAKind, states: Mapping[str, CylinderState], away: Container[str], *, alike: bool
    ) -> Iterator[tuple[Cylinder, float]]:
        """The cylinders of a kind that are fit and have room, and how much, lb; those `away` are left out.

        alike: what comes is no gas of its own, so that of a kind those are fit alike that hold the same, and of a lot
        those stop alike that rule push-pull out, or not.
        """
        fits: dict[tuple[str | None, bool], bool] = {}
        for lot in lots:
            stop_lb: dict[bool, float] = {}
            for cylinder in lot:
                state = states.get(cylinder.id)
                if state is None or cylinder.id in away:
                    continue
                holds = state.refrigerant, state.contents_lb > 0.0
                fit = fits.get(holds) if alike else None
                if fit is None:
                    fit = fits[holds] = self.fits(cylinder, state, kind)
                if not fit:
                    continue
                barred = bars_push_pull(cylinder, state)
                stop = stop_lb.get(barred) if alike else None
                if stop is None:
                    stop = stop_lb[barred] = self.stop_gross_lb(cylinder, state)
                free_lb = room_lb(stop, cylinder.tare_lb, state.contents_lb)
                if free_lb > 0.0:
                    yield cylinder, free_lb


def _lasting(found: tuple[Refusal, ...], lasting: bool) -> tuple[Refusal, ...]:
    passing = {"cylinder-out-of-test", "cylinder-out-of-service"} if lasting else set()
    return tuple(item for item in found if item.code not in passing)


_Lots = tuple[tuple[Kind, _OfAKind], ...]
# of the register that was asked about last: a day asks for every job that is short of room
_LOTS: list[tuple[tuple[Cylinder, ...], _Lots]] = []


def _lots(cylinders: tuple[Cylinder, ...]) -> _Lots:
    """The cylinders of a register by kind, and of each kind in lots of one stamp: those of a kind are fit for the same
    jobs, those of a lot as roomy when empty.
    """
    for register, lots in _LOTS:
        if register is cylinders:
            return lots
    found: dict[Kind, dict[Stamp, list[Cylinder]]] = {}
    for cylinder in cylinders:
        found.setdefault(kind_of(cylinder), {}).setdefault(stamp_of(cylinder), []).append(cylinder)
    made = tuple((kind, tuple(tuple(lot) for lot in lots.values())) for kind, lots in found.items())
    _LOTS[:] = [(cylinders, made)]
    return made


class Spare(NamedTuple):
    """A cylinder of the register that would do, and the room in it, lb."""

    cylinder: Cylinder
    free_lb: float


def would_do(case: Case, ways: Ways, kept: Cylinders, needed_lb: float) -> tuple[Spare, ...]:
    """The cylinders of the register that are free, fit for this job and have room.

    Those that have room for `needed_lb` alone come first, then the lightest; a cylinder rated for flammable gas is
    kept for it while others do. The job's own cylinders and those that are `taken` are left out. Each is weighed for the
    method that the job has with it and those that are kept.
    """
    away = case.taken | set(case.job.cylinders)
    burns = case.gas.refrigerant is None or case.gas.refrigerant.flammable
    looked = Looked(ways, kept)
    found = []
    for kind, lots in _lots(case.registers.cylinders):
        one = lots[0][0]
        # a mix of what comes and what is there is no two times alike: then each is looked at
        alike = case.gas.refrigerant is None or not case.gas.refrigerant.own
        if alike and not looked.kind_fits(one, looked.setting(one, CylinderState(one.id, None, 0.0)), kind):
            continue
        for cylinder, free_lb in looked.rooms(kind, lots, case.states, away, alike=alike):
            spared = cylinder.flammable_rated and not burns
            found.append(((free_lb < needed_lb, spared, cylinder.tare_lb, cylinder.id), Spare(cylinder, free_lb)))
    return tuple(spare for _, spare in sorted(found, key=lambda item: item[0]))


def largest_empty_lb(case: Case, ways: Ways, kept: Cylinders) -> float:
    """Room of the largest cylinder of the register of a kind that is fit, as if it were empty and in test, lb."""
    looked = Looked(ways, kept)
    mixed = case.gas.refrigerant is None or case.gas.refrigerant.own
    largest_lb = 0.0
    for kind, lots in _lots(case.registers.cylinders):
        empty = CylinderState(lots[0][0].id, MIXED if mixed else None, 0.0)
        if looked.fits(lots[0][0], empty, kind, lasting=True):
            largest_lb = max(largest_lb, *(looked.free_lb(lot[0], empty) for lot in lots))
    return largest_lb


def as_findings(
    found: tuple[Refusal, ...], where: str, candidates: str | Statement, units: UnitSystem
) -> tuple[Finding, ...]:
    """The findings, each naming the cylinders that would do."""
    return tuple(
        finding(item.code, units, source=item.source, where=where, **dict(item.params), candidates=candidates)
        for item in found
    )


def discrepancy(own: Weights, setting: FillSetting) -> Finding | None:
    """A caution when a bare weight that was filed differs from the ledger and nobody has said why."""
    gap_lb = own.state.discrepancy_lb
    if gap_lb is None:
        return None
    return finding(
        "cylinder-discrepancy",
        setting.units,
        source=N_("common practice, no source"),
        where=own.cylinder.where(),
        cylinder=own.cylinder.id,
        gap=Amount(abs(float(gap_lb)), "weight"),
        record=own.state.discrepancy_from,
    )


def stands_high(own: Weights, setting: FillSetting) -> Finding | None:
    """A caution when the gas at the job's hottest temperature stands at or above the cylinder's service pressure."""
    spec = read_spec(own.cylinder.spec)
    hottest = next((row for row in setting.rows_F if row.value == setting.case.hottest_F().value), None)
    if spec is None or spec.service_psig is None or hottest is None:
        return None
    stands = site_gauge(setting.of(own.state).gas.bubble_high(hottest), setting.barometer_psia).value
    if stands < spec.service_psig:
        return None
    return finding(
        "cylinder-stands-high",
        setting.units,
        source=fitness.SOURCE_FLAMMABLE,
        where=own.cylinder.where(),
        cylinder=own.cylinder.id,
        pressure=Amount(stands, "pressure"),
        temperature=Amount(hottest.value, "temperature"),
        limit=Amount(spec.service_psig, "pressure"),
    )
