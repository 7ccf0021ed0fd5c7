"""The numbers of one cylinder: what it may hold, where to stop, what is free, and its table by temperature."""

from dataclasses import dataclass

from packet.ledger.state import CylinderState
from packet.plan.gauge import site_gauge
from packet.plan.model import FillRow
from packet.plan.setting import FillSetting
from packet.rules import fill
from packet.rules.stop import Limits, Stamped, StopWeights, Terms, stop_of
from packet.rules.volume import cylinder_volume_ft3
from packet.shop.records import Cylinder
from packet.words import N_
from packet.worked import Worked, given

# Translators: where it is known from what a cylinder holds; printed after a job's id
PLANNED_TO_LEAVE = N_("what this job is planned to leave, not yet filed")
LEFT = N_("what this job left, as filed")


@dataclass(frozen=True, slots=True)
class Weights:
    """A cylinder's weights for one job, before anything is planned into it. Gross unless named net."""

    cylinder: Cylinder
    state: CylinderState
    vessel: Stamped
    contents_lb: Worked
    bare_gross_lb: Worked
    stop: StopWeights
    free_lb: Worked

    @property
    def water_capacity_lb(self) -> Worked:
        """Water capacity as stamped."""
        return self.vessel.water_capacity_lb

    @property
    def tare_lb(self) -> Worked:
        """Tare as stamped."""
        return self.vessel.tare_lb

    @property
    def volume_ft3(self) -> Worked:
        """The cylinder's volume."""
        return self.vessel.volume_ft3

    @property
    def limits(self) -> Limits:
        """The limits that apply, net lb."""
        return self.stop.limits

    @property
    def limit_gross_lb(self) -> Worked:
        """Never above."""
        return self.stop.limit_gross_lb

    @property
    def stop_gross_lb(self) -> Worked:
        """Where to stop."""
        return self.stop.stop_gross_lb


@dataclass(frozen=True, slots=True)
class RowWorked:
    """One row of the fill table with its working."""

    net_limit_lb: Worked
    stop_gross_lb: Worked
    free_lb: Worked
    pressure_psig: Worked
    level_percent: Worked


def weights(cylinder: Cylinder, state: CylinderState, setting: FillSetting) -> Weights:
    """The limit, stop and free weights of one cylinder at the job's fill temperature."""
    setting = setting.of(state)
    vessel = vessel_of(cylinder)
    contents = given(state.contents_lb, "lb", _contents_source(cylinder, state))
    stop = stop_of(vessel, setting.terms(setting.fill_F), setting.clearing_lb, setting.printed)
    return Weights(
        cylinder=cylinder,
        state=state,
        vessel=vessel,
        contents_lb=contents,
        bare_gross_lb=_bare(vessel.tare_lb, contents),
        stop=stop,
        free_lb=_free(stop.stop_gross_lb, vessel.tare_lb, contents),
    )


def stop_gross_lb(cylinder: Cylinder, setting: FillSetting, terms: Terms) -> float:
    """The stop weight of `weights` alone. terms: the setting's at its fill temperature."""
    return stop_of(vessel_of(cylinder), terms, setting.clearing_lb, setting.printed).stop_gross_lb.value


def vessel_of(cylinder: Cylinder) -> Stamped:
    """What the register says is stamped on a cylinder."""
    water = given(cylinder.water_capacity_lb, "lb", cylinder.where("water_capacity_lb"))
    stamp = cylinder.max_gross_lb
    return Stamped(
        water_capacity_lb=water,
        tare_lb=given(cylinder.tare_lb, "lb", cylinder.where("tare_lb")),
        volume_ft3=cylinder_volume_ft3(water),
        max_gross_lb=None if stamp is None else given(stamp, "lb", cylinder.where("max_gross_lb")),
    )


def _contents_source(cylinder: Cylinder, state: CylinderState) -> str:
    """Where it is known from what a cylinder holds."""
    if not state.came_from:
        return cylinder.where("contents_lb")
    if state.planned:
        return f"{state.came_from}: {PLANNED_TO_LEAVE}"
    return f"{state.came_from}: {LEFT}"


def row(own: Weights, row_F: Worked, planned_net_lb: Worked, setting: FillSetting) -> RowWorked:
    """A row of the fill table. planned_net_lb: what the cylinder holds when the job has gone as planned."""
    setting = setting.of(own.state)
    gas = setting.gas
    at = fill.fill_temperature_F(row_F)
    here = stop_of(own.vessel, setting.terms(at), setting.clearing_lb, setting.printed)
    own_stop = stop = here.stop_gross_lb
    if own_stop.value >= own.stop_gross_lb.value:
        stop = Worked(
            own.stop_gross_lb.value,
            "lb",
            N_("cooler than the job's hottest: the one stop weight of the sheet holds"),
            N_("one stop weight a cylinder"),
            "smallest of ({stop_here}, {stop_of_the_sheet})",
            (("stop_here", own_stop), ("stop_of_the_sheet", own.stop_gross_lb)),
            own.stop_gross_lb.places,
            own.stop_gross_lb.estimate_percent,
        )
    bubble = gas.bubble(row_F)
    return RowWorked(
        net_limit_lb=here.limits.net_lb,
        stop_gross_lb=stop,
        free_lb=_free(stop, own.tare_lb, own.contents_lb),
        pressure_psig=site_gauge(bubble, setting.barometer_psia),
        level_percent=fill.level_worked(planned_net_lb, own.volume_ft3, gas.liquid(row_F), gas.vapor(row_F)),
    )


def table(own: Weights, planned_net_lb: Worked, setting: FillSetting) -> tuple[FillRow, ...]:
    """The fill table, one row a temperature, as plain numbers; `row` gives any of them with its working."""
    setting = setting.of(own.state)
    hottest = setting.case.hottest_F().value
    rows = []
    for row_F in setting.rows_F:
        made = row(own, row_F, planned_net_lb, setting)
        rows.append(
            FillRow(
                ambient_F=row_F.value,
                net_limit_lb=made.net_limit_lb.value,
                stop_gross_lb=made.stop_gross_lb.value,
                free_lb=made.free_lb.value,
                pressure_psig=made.pressure_psig.value,
                level_percent=made.level_percent.value,
                hottest=row_F.value == hottest,
            )
        )
    return tuple(rows)


def level_curve(own: Weights, net_lb: float, setting: FillSetting) -> tuple[tuple[float, float], ...]:
    """Level of the planned fill every 10 °F over what can be computed from 20 °F up, for the plot on the sheet."""
    gas = setting.of(own.state).gas
    points = []
    for step in range(2, 15):
        temperature = 10.0 * step
        if gas.fluid.lowest_F <= temperature <= gas.fluid.highest_F:
            at = given(temperature, "°F", N_("a point of the plot"), places=1)
            level = fill.level_percent(net_lb, own.volume_ft3.value, gas.liquid(at).value, gas.vapor(at).value)
            points.append((temperature, level))
    return tuple(points)


def mean_density(net_lb: Worked, volume_ft3: Worked) -> Worked:
    """Mass over volume, lb/ft³."""
    return Worked(
        net_lb.value / volume_ft3.value,
        "lb/ft³",
        N_("mean density of what is in the cylinder"),
        N_("mass balance"),
        "{mass} ÷ {volume}",
        (("mass", net_lb), ("volume", volume_ft3)),
        places=2,
    )


def net_of(gross_lb: Worked, tare_lb: Worked) -> Worked:
    """Net from gross."""
    return Worked(
        gross_lb.value - tare_lb.value,
        "lb",
        N_("net: gross less tare"),
        N_("definition of net weight"),
        "{gross} − {tare}",
        (("gross", gross_lb), ("tare", tare_lb)),
        places=max(3, gross_lb.places),
    )


def _bare(tare: Worked, contents: Worked) -> Worked:
    return Worked(
        tare.value + contents.value,
        "lb",
        N_("cylinder weight to expect BEFORE (hoses off): tare plus what the ledger says is in it"),
        N_("definition of gross weight"),
        "{tare} + {contents}",
        (("tare", tare), ("contents", contents)),
        places=2,
    )


def room_lb(stop_gross_lb: float, tare_lb: float, contents_lb: float) -> float:
    """The room left up to the stop weight, lb. Nine decimals: the difference of printed figures has no more."""
    return max(0.0, round(stop_gross_lb - tare_lb - contents_lb, 9))


def _free(stop: Worked, tare: Worked, contents: Worked) -> Worked:
    return Worked(
        room_lb(stop.value, tare.value, contents.value),
        "lb",
        N_("room left up to the stop weight"),
        N_("definition of net weight"),
        "largest of (0, {stop} − {tare} − {contents})",
        (("stop", stop), ("tare", tare), ("contents", contents)),
        places=max(2, stop.places),
        estimate_percent=stop.estimate_percent,
    )
