"""What a hookup is made from: the few facts of a Plan that matter to hoses, valves and steps."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from packet.plan.estimates import pressure_error_percent
from packet.plan.hoses import closed_by_hose, core_tool_ports
from packet.plan.model import CylinderPlan, Hoses, Plan, PressureRow, StageName
from packet.plan.space import room_is_small
from packet.rules.lifting import How
from packet.rules.spec import read_spec
from packet.shop.records import Controls, Kit, PortKind, Ports, Space, ValveName
from packet.units import UnitSystem
from packet.words import N_, t

# a charge from which oil in a crankcase holds enough gas to be worth warming; common practice, no source
CRANKCASE_HEATER_FROM_LB = 10.0
# Where chilled water is about to freeze; common practice, no source
WATER_FREEZES_F = 36.0
INDOORS: frozenset[str] = frozenset({"basement", "machinery-room", "indoors"})


@dataclass(frozen=True, slots=True)
class CylinderNeed:
    """An assigned cylinder with its weights, gross lb. empty: empty and evacuated, so its vacuum is looked at first."""

    id: str
    valves: tuple[ValveName, ...]
    float_switch: bool
    expected_bare_gross_lb: float
    stop_gross_lb: float
    limit_gross_lb: float
    change_at_gross_lb: float | None
    planned_gross_lb: float
    stop_and_cool_psig: float | None
    empty: bool = False


@dataclass(frozen=True, slots=True)
class Request:
    """One job, as the hookup sees it.

    room_is_small: indoors, and the charge could reach the room's
    limit or the room is unknown. gauge_at_site_inHg_vacuum: as the gauge reads at the site; None: target_percent_of_charge says it.
    law_vacuum_inHg: the same as the rule states it, at sea level. scale_step_lb: what the scale can tell apart.
    liquid_port, vapor_port: of which kind, None where there is none. second: the second person's name, '' where the
    job names none. isolated: only a part is drawn, closed off by its own valves or by pumping the rest into the receiver.
    water_freezes_psig: the refrigerant's pressure at 36 °F, below which tubes freeze.
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
    liquid_port: PortKind | None
    vapor_port: PortKind | None
    charge_lb: float
    factory_sealed: bool
    compressor_runs: bool
    receiver: bool
    isolated: Literal["", "receiver", "valves"]
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
    pressure_error_percent: float = 0.0
    law_vacuum_inHg: float | None = None
    second: str = ""
    second_needed: bool = False
    water_freezes_psig: float | None = None
    appliance_side_psig: float | None = None
    ports_where: str = ""
    barometer_psia: float = 14.696
    lifts: tuple[str, ...] = ()

    @property
    def ports(self) -> tuple[ValveName, ...]:
        """The sides that have a port, liquid first."""
        return tuple(port for port, kind in self.port_kinds.items() if kind is not None)

    @property
    def port_kinds(self) -> dict[ValveName, PortKind | None]:
        """Of which kind each port is; a sealed appliance whose ports are not stated gets piercing valves."""
        kinds: dict[ValveName, PortKind | None] = {"liquid": self.liquid_port, "vapor": self.vapor_port}
        if self.kind == "small-appliance" and self.factory_sealed:
            return {port: "piercing" if kind == "not-stated" else kind for port, kind in kinds.items()}
        return kinds

    @property
    def unstated_ports(self) -> tuple[ValveName, ...]:
        """The ports of which nobody said what they are: written so that it is safe for a Schrader core."""
        return tuple(port for port, kind in self.port_kinds.items() if kind == "not-stated")

    @property
    def _kinds(self) -> Ports:
        return Ports(liquid=self.port_kinds["liquid"], vapor=self.port_kinds["vapor"])

    @property
    def core_tool_ports(self) -> tuple[ValveName, ...]:
        """The Schrader ports that get a core tool: the liquid side first, as far as the kit's tools go."""
        return core_tool_ports(self._kinds, self.kit, self.pressure_psig)

    @property
    def hose_end_ports(self) -> tuple[ValveName, ...]:
        """The ports that open as soon as a hose is on: what isolates them is the shut-off at the hose's end."""
        return closed_by_hose(self._kinds, self.kit, self.pressure_psig)

    def isolator(self, port: str) -> str:
        """The valve that closes a port ('liquid', 'vapor'): its own, or the shut-off at the hose's appliance end."""
        if port in self.hose_end_ports:
            return "A1" if port == "liquid" else "B1"
        return f"appliance.{port}"

    @property
    def burns(self) -> bool:
        """Treated as flammable in every step: it is, or nobody knows."""
        return self.flammable or self.unknown

    @property
    def poisons(self) -> bool:
        """Treated as toxic in every step: class B, or nobody knows."""
        return self.toxic or self.unknown

    @property
    def detector(self) -> bool:
        """A detector is due."""
        return self.burns or self.poisons or self.space == "basement" or self.room_is_small

    @property
    def chiller(self) -> bool:
        """Water stands in its tubes and can freeze."""
        return self.kind == "chiller"

    @property
    def pierced(self) -> bool:
        """A sealed appliance has no service ports: piercing valves make them."""
        return "piercing" in self.port_kinds.values()

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
        """The first stage is push-pull: the method, or how a low-pressure machine's liquid comes out."""
        return "push-pull" in self.stages

    @property
    def liquid_alone(self) -> bool:
        """Push-pull and nothing after it: a low-pressure machine that is only raised to the air's pressure."""
        return self.push_pull and "vapor" not in self.stages

    @property
    def warms(self) -> bool:
        """A sealed appliance that is drawn as vapor: its oil is warmed, or its compressor pushes."""
        return self.pierced and self.stages[0] == "vapor" and "vapor" in self.ports

    @property
    def pushes_itself(self) -> bool:
        """A sealed appliance's own compressor pushes the charge out: never a gas that burns, never against its own tap.

        With a tap on the suction side alone it would pull the charge away from it.
        """
        return self.warms and self.compressor_runs and "liquid" in self.ports and not self.burns

    @property
    def pumps_down(self) -> bool:
        """The compressor pumps the charge into the receiver first, and liquid is taken from the king valve there."""
        return (
            self.receiver
            and self.compressor_runs
            and self.port_kinds["liquid"] == "king-valve"
            and "vapor" in self.ports
            and "liquid" in self.stages
            and not (self.isolated or self.burns or self.burnout or self.low_pressure)
        )

    @property
    def into_receiver(self) -> bool:
        """The compressor pumps into the receiver: the whole charge, or all but what stays in the isolated part."""
        return self.pumps_down or self.isolated == "receiver"

    @property
    def runs_compressor(self) -> bool:
        """The method needs the appliance's own compressor."""
        return self.pushes_itself or self.into_receiver

    @property
    def locks_out_first(self) -> bool:
        """Power is locked out before anything: neither the compressor nor a chiller's pumps are needed."""
        return not (self.runs_compressor or self.chiller)

    @property
    def target_is_percent(self) -> bool:
        """A small appliance is drawn to a share of its charge, by weight, or to 4 inHg."""
        return self.target_percent_of_charge is not None

    @property
    def sweeps(self) -> bool:
        """Nitrogen is led through the appliance before it is opened: what burns, and before a torch."""
        return (self.burns or self.torch) and not self.raise_to_atmosphere

    @property
    def breaks_vacuum(self) -> bool:
        """Dry nitrogen to 0 psig, so that no air is drawn in when the system is opened."""
        deep = (self.gauge_at_site_inHg_vacuum or 0.0) > 0.0 and not self.target_is_percent
        return (deep or self.sweeps) and not self.raise_to_atmosphere


def request_from(plan: Plan) -> Request | None:
    """The hookup's facts of a plan; None where the plan could not decide method, machine, cylinders or scale."""
    if plan.method is None or plan.machine is None or plan.scale is None or plan.hoses is None or not plan.cylinders:
        return None
    job, shop = plan.job, plan.registers.shop
    appliance, work, site, fluid = job.appliance, job.work, job.site, plan.refrigerant
    evacuation = plan.evacuation
    small = room_is_small(site, plan.occupied_space)
    gauge = evacuation.gauge_at_site_inHg_vacuum if evacuation else None
    unknown = plan.mixed_or_unknown or fluid is None
    stages: tuple[StageName, ...] = plan.method.stages
    low = evacuation is not None and evacuation.is_read_absolute
    raised = evacuation is not None and evacuation.raise_to_atmosphere
    if low and ("liquid" in stages or (raised and "push-pull" in stages)):
        # its liquid comes out by the unit's own push-pull, never through a cracked compressor inlet
        stages = ("push-pull",) if raised else ("push-pull", "vapor")
    if _isolated(plan) == "receiver":
        stages = ("vapor",)  # the liquid went into the receiver; what is left in the part is vapor
    return Request(
        job=job.job,
        units=shop.units,
        refrigerant=fluid.name if fluid else appliance.refrigerant,
        unknown=unknown,
        flammable=fluid.flammable if fluid else False,
        toxic=fluid.toxic if fluid else False,
        stages=stages,
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
        liquid_port=appliance.ports.liquid,
        vapor_port=appliance.ports.vapor,
        charge_lb=appliance.charge_lb,
        factory_sealed=appliance.factory_sealed,
        compressor_runs=appliance.compressor_runs,
        receiver=appliance.receiver,
        isolated=_isolated(plan),
        reversing_valve=appliance.reversing_valve,
        burnout=work.burnout,
        leaking=work.leaking or work.reason == "leak",
        torch=work.torch,
        ambient_F=job.conditions.ambient_F,
        low_pressure=low,
        raise_to_atmosphere=raised,
        gauge_at_site_inHg_vacuum=gauge.value if gauge else None,
        target_psia=evacuation.target_psia.value if evacuation and evacuation.target_psia else None,
        target_percent_of_charge=evacuation.target_percent_of_charge if evacuation else None,
        target_lb=evacuation.target_lb if evacuation else None,
        rise_check_minutes=evacuation.rise_check_minutes if evacuation else 10,
        space=site.space,
        room_is_small=small,
        permit_space=site.permit_space,
        ladder=site.ladder,
        roof_edge=site.roof_edge,
        emergency_phone=shop.emergency_phone,
        bubble_rows=_rows_to_quote(plan, shop.units),
        pressure_error_percent=pressure_error_percent(plan.estimates),
        law_vacuum_inHg=evacuation.target_inHg_vacuum.value if evacuation and evacuation.target_inHg_vacuum else None,
        second=_second(plan),
        second_needed=plan.second is not None and bool(plan.second.needed_for or _second(plan)),
        water_freezes_psig=pressure_at(plan.pressure_table, WATER_FREEZES_F),
        appliance_side_psig=_appliance_side(plan),
        ports_where=appliance.where("ports"),
        barometer_psia=plan.barometer_psia.value,
        lifts=tuple(_lifts(plan)),
    )


def _isolated(plan: Plan) -> Literal["", "receiver", "valves"]:
    """How only a part is drawn; '' where the plan draws the whole."""
    return "" if plan.isolated is None else plan.isolated.by


def _appliance_side(plan: Plan) -> float | None:
    """What the machine may push against in push-pull, psig: the appliance's low-side design pressure when given, else
    the lowest service pressure of the cylinders."""
    given = plan.job.appliance.low_side_design_psig
    if given is not None:
        return given
    specs = [read_spec(item.cylinder.spec) for item in plan.cylinders]
    stamped = [spec.service_psig for spec in specs if spec is not None and spec.service_psig is not None]
    return min(stamped, default=None)


def _second(plan: Plan) -> str:
    """The second person as printed; '' where the job names none."""
    if plan.second is None:
        return ""
    return t("the site's second person") if plan.second.on_site else plan.second.name


_LIFT_GEAR: dict[How, str] = {
    "two": N_("hand truck, or two people"),
    "dolly": N_("cylinder dolly and lift gate"),
    "hoist": N_("hoist or pallet jack"),
}


def _lifts(plan: Plan) -> Iterator[str]:
    """What lifts the heaviest thing of the job, each once."""
    for how, name in _LIFT_GEAR.items():
        if any(lift.how == how for lift in plan.lifting):
            yield name


def _rows_to_quote(plan: Plan, units: UnitSystem) -> tuple[PressureRow, ...]:
    """The rows a step may quote: in SI the day's, of whole degrees; in US those and the table's, whichever is nearer."""
    return plan.pressure_strip if units == "SI" else plan.pressure_strip + plan.pressure_table


def pressure_at(rows: tuple[PressureRow, ...], temperature_F: float) -> float | None:
    """Bubble pressure, psig, at a temperature between two rows of the table, on a straight line: on the high side."""
    for low, high in pairwise(rows):
        if low.temperature_F <= temperature_F <= high.temperature_F:
            share = (temperature_F - low.temperature_F) / (high.temperature_F - low.temperature_F)
            return low.bubble_psig + share * (high.bubble_psig - low.bubble_psig)
    return None


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
        empty=plan.contents_lb == 0.0,
    )
