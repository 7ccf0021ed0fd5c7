"""What a hookup is made from: the few facts of a Plan that matter to hoses, valves and steps."""

from dataclasses import dataclass

from packet.plan.model import CylinderPlan, Hoses, Plan, PressureRow, StageName
from packet.plan.space import room_is_small
from packet.shop.records import Controls, Kit, Space, ValveName
from packet.units import UnitSystem

# a charge from which oil in a crankcase holds enough gas to be worth warming; common practice, no source
CRANKCASE_HEATER_FROM_LB = 10.0
INDOORS: frozenset[str] = frozenset({"basement", "machinery-room", "indoors"})


@dataclass(frozen=True, slots=True)
class CylinderNeed:
    """An assigned cylinder with its weights, gross lb."""

    id: str
    valves: tuple[ValveName, ...]
    float_switch: bool
    expected_bare_gross_lb: float
    stop_gross_lb: float
    limit_gross_lb: float
    change_at_gross_lb: float | None
    planned_gross_lb: float
    stop_and_cool_psig: float | None


@dataclass(frozen=True, slots=True)
class Request:
    """One job, as the hookup sees it.

    room_is_small: indoors, and the charge could reach the room's
    limit or the room is unknown. gauge_at_site_inHg_vacuum: the target as the gauge reads it; a small
    appliance has a target_percent_of_charge besides.
    scale_step_lb: what the scale can tell apart.
    """

    job: str
    units: UnitSystem
    refrigerant: str
    unknown: bool
    flammable: bool
    toxic: bool
    stages: tuple[StageName, ...]
    cylinders: tuple[CylinderNeed, ...]
    machine: str
    controls: Controls
    clear_to: str
    machine_had: str | None
    scale: str
    scale_step_lb: float
    check_weight_lb: float | None
    kit: Kit
    hoses: Hoses
    discharge_into: ValveName
    kind: str
    ports: tuple[ValveName, ...]
    charge_lb: float
    factory_sealed: bool
    compressor_runs: bool
    receiver: bool
    isolated: bool
    reversing_valve: bool
    burnout: bool
    leaking: bool
    torch: bool
    ambient_F: float
    low_pressure: bool
    raise_to_atmosphere: bool
    gauge_at_site_inHg_vacuum: float | None
    target_psia: float | None
    target_percent_of_charge: float | None
    target_lb: float | None
    rise_check_minutes: int
    space: Space
    room_is_small: bool
    permit_space: bool
    ladder: bool
    roof_edge: bool
    emergency_phone: str = ""
    bubble_rows: tuple[PressureRow, ...] = ()

    @property
    def chiller(self) -> bool:
        """Water stands in its tubes and can freeze."""
        return self.kind == "chiller"

    @property
    def pierced(self) -> bool:
        """A sealed appliance has no service ports: piercing valves make them."""
        return self.kind == "small-appliance" and self.factory_sealed

    @property
    def indoors(self) -> bool:
        """A room, not open air."""
        return self.space in INDOORS

    @property
    def vacuum_purge(self) -> bool:
        """Air leaves the hoses by a vacuum pump, not by a push of vapor into the room: `plan.hoses.purges_by_vacuum`."""
        return self.hoses.by_vacuum

    @property
    def pressure_psig(self) -> float:
        """What hoses and fittings must stand, psig."""
        return self.hoses.least_psig

    @property
    def push_pull(self) -> bool:
        """The first stage is push-pull."""
        return "push-pull" in self.stages

    @property
    def runs_compressor(self) -> bool:
        """The method needs the appliance's own compressor: a sealed appliance, or a pump-down to the receiver."""
        return (self.pierced and self.compressor_runs) or self.isolated

    @property
    def locks_out(self) -> bool:
        """Power is locked out: neither the compressor nor a chiller's pumps are needed."""
        return not (self.runs_compressor or self.chiller)

    @property
    def target_is_percent(self) -> bool:
        """A small appliance is drawn to a share of its charge, by weight."""
        return self.target_percent_of_charge is not None


def request_from(plan: Plan) -> Request | None:
    """The hookup's facts of a plan; None where the plan could not decide method, machine, cylinders or scale."""
    if plan.method is None or plan.machine is None or plan.scale is None or plan.hoses is None or not plan.cylinders:
        return None
    job, shop = plan.job, plan.registers.shop
    appliance, work, site, fluid = job.appliance, job.work, job.site, plan.refrigerant
    evacuation = plan.evacuation
    gauge = evacuation.gauge_at_site_inHg_vacuum if evacuation else None
    unknown = plan.mixed_or_unknown or fluid is None
    return Request(
        job=job.job,
        units=shop.units,
        refrigerant=fluid.name if fluid else appliance.refrigerant,
        unknown=unknown,
        flammable=fluid.flammable if fluid else False,
        toxic=fluid.toxic if fluid else False,
        stages=plan.method.stages,
        cylinders=tuple(_cylinder(item) for item in plan.cylinders),
        machine=plan.machine.id,
        controls=plan.machine.controls,
        clear_to=plan.machine.clear_to,
        machine_had=plan.machine.last_refrigerant,
        scale=plan.scale.id,
        scale_step_lb=plan.scale.resolution_lb,
        check_weight_lb=plan.scale.check_weight_lb,
        kit=plan.registers.equipment.kit,
        hoses=plan.hoses,
        discharge_into=shop.policy.discharge_into,
        kind=appliance.kind,
        ports=appliance.ports.names,
        charge_lb=appliance.charge_lb,
        factory_sealed=appliance.factory_sealed,
        compressor_runs=appliance.compressor_runs,
        receiver=appliance.receiver,
        isolated=plan.isolated is not None and plan.isolated.by == "receiver",
        reversing_valve=appliance.reversing_valve,
        burnout=work.burnout,
        leaking=work.leaking or work.reason == "leak",
        torch=work.torch,
        ambient_F=job.conditions.ambient_F,
        low_pressure=evacuation is not None and evacuation.pressure_class == "low",
        raise_to_atmosphere=evacuation is not None and evacuation.raise_to_atmosphere,
        gauge_at_site_inHg_vacuum=gauge.value if gauge else None,
        target_psia=evacuation.target_psia.value if evacuation and evacuation.target_psia else None,
        target_percent_of_charge=evacuation.target_percent_of_charge if evacuation else None,
        target_lb=evacuation.target_lb if evacuation else None,
        rise_check_minutes=evacuation.rise_check_minutes if evacuation else 10,
        space=site.space,
        room_is_small=room_is_small(site, plan.occupied_space),
        permit_space=site.permit_space,
        ladder=site.ladder,
        roof_edge=site.roof_edge,
        emergency_phone=shop.emergency_phone,
        bubble_rows=plan.pressure_table,
    )


def _cylinder(plan: CylinderPlan) -> CylinderNeed:
    cylinder = plan.cylinder
    return CylinderNeed(
        id=cylinder.id,
        valves=cylinder.valves,
        float_switch=cylinder.float_switch,
        expected_bare_gross_lb=plan.expected_bare_gross_lb.value,
        stop_gross_lb=plan.stop_gross_lb.value,
        limit_gross_lb=plan.limit_gross_lb.value,
        change_at_gross_lb=plan.change_at_gross_lb.value if plan.change_at_gross_lb else None,
        planned_gross_lb=plan.planned_gross_lb,
        stop_and_cool_psig=plan.stop_and_cool_psig.value or None,
    )
