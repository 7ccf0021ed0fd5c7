"""Every cylinder tonight: where it is, what is in it, how much more it may take, when it is due, what to look at."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal

from packet.figures import gas_named, show_temperature, show_weight, weight_unit
from packet.ledger import mass
from packet.ledger.state import SCALE_EXPLAINS_LB, CylinderState, Ledger, gas_in
from packet.plan.cylinder import vessel_of
from packet.plan.fit import Stamp, requalify_by, stamp_of
from packet.plan.gas import Gas
from packet.plan.mixed import unknown_bounds
from packet.plan.setting import terms_of
from packet.refrigerant.catalogue import UnknownRefrigerant, find
from packet.refrigerant.computed import NoProperties
from packet.refrigerant.own import MIXED, is_mixed
from packet.refrigerant.properties import properties
from packet.rules import fill
from packet.rules.spec import read_spec
from packet.rules.stop import limits
from packet.shop.records import Cylinder, Policy, Registers
from packet.units import KG_PER_LB, UnitSystem, floor_to
from packet.words import P_, pt, t
from packet.worked import given

PURPOSES = {
    "reclaim": P_("purpose of handing over", "reclaim"),
    "destruction": P_("purpose of handing over", "destruction"),
    "returned": P_("purpose of handing over", "back to the owner"),
}
OTHER = {
    "bought": P_("what happened to gas", "bought"),
    "moved": P_("what happened to gas", "moved"),
    "adjusted": P_("what happened to gas", "adjusted"),
    "renamed": P_("what happened to gas", "became mixed"),
}
RETEST_NOTICE_DAYS = 60  # time to send a cylinder out and get it back; common practice, no source


@dataclass(frozen=True, slots=True)
class Room:
    """Net lb that may still go in, at 77 °F and at the shop's hottest van; not rounded."""

    at_77F_lb: float
    at_hottest_lb: float


@dataclass(frozen=True, slots=True)
class CylinderLine:
    """One cylinder of the list. gas: '' when empty and evacuated. room: None where it depends on what goes in,
    cannot be computed, or nothing may go in. retest_by: the last day on which it may be filled. warnings: sentences.
    size_lb: its water capacity. promised: jobs to come that name it, in their order. fillable: whether anything may go
    in."""

    id: str
    where: str
    gas: str
    contents_lb: Decimal
    room: Room | None
    retest_by: date | None
    warnings: tuple[str, ...]
    size_lb: float | None = None
    promised: tuple[str, ...] = ()
    fillable: bool = False


@dataclass(frozen=True, slots=True)
class CylinderList:
    """All of them, by id. hottest_F: what 'the hottest' is at this shop."""

    asof: date
    hottest_F: float
    lines: tuple[CylinderLine, ...]


def cylinder_list(book: Ledger, asof: date, promised: Mapping[str, tuple[str, ...]] | None = None) -> CylinderList:
    """The cylinders of a ledger as of a day (`packet.ledger.state.ledger`). promised: the jobs to come, by cylinder."""
    registers = book.registers
    known = {item.id: item for item in registers.cylinders}
    whereabouts = _whereabouts(book)
    gases: dict[str, Gas | None] = {}
    limits_lb: Limits = {}
    lines = []
    for name in sorted({*known, *book.states}):
        state, cylinder = book.states[name], known.get(name)
        gas = state.refrigerant or ""
        if gas not in gases:
            gases[gas] = _gas(gas)
        room = None
        fillable = cylinder is not None and _fillable(cylinder, asof)
        if cylinder is not None and fillable:
            room = _room(cylinder, state, gases[gas], registers.shop.policy, limits_lb)
        lines.append(
            CylinderLine(
                name,
                _where(cylinder, whereabouts.get(name, "")),
                _said(state),
                mass.lb_from_kg(state.ledger_kg),
                room,
                requalify_by(cylinder) if cylinder is not None else None,
                tuple(_warnings(cylinder, state, room, registers, asof)),
                cylinder.water_capacity_lb if cylinder is not None else None,
                (promised or {}).get(name, ()),
                fillable,
            )
        )
    return CylinderList(asof, registers.shop.policy.van_hottest_F, tuple(lines))


def _whereabouts(book: Ledger) -> dict[str, str]:
    """Where each cylinder was last said to be: on the truck of its last job, or with whom it was turned in."""
    found: dict[str, str] = {}
    for item in book.counted:
        body = item.record.body
        for entry in body.get("moves", ()):
            if item.kind == "job":
                found[entry["cylinder"]] = t(
                    "truck {truck}, {job}", truck=body.get("truck", ""), job=item.record.subject
                )
        for cylinder, to in body.get("away", {}).items():
            found[cylinder] = t("away: {to}", to=to)
        for cylinder in body.get("evacuated", ()):
            found[cylinder] = pt("where a cylinder is", "shop")
    return found


def _where(cylinder: Cylinder | None, last: str) -> str:
    if cylinder is None:
        return t("not in the register")
    return last or pt("where a cylinder is", "shop")


def _said(state: CylinderState) -> str:
    """What is in it, in words; of a mixed cylinder what its gas adds up to, where all that went in was known."""
    return t("mixed: {parts}", parts=gas_in(state)) if state.mixed_of else gas_named(state.refrigerant or "")


def _gas(name: str) -> Gas | None:
    """The gas to compute with: for a mix the worst of what it may be; None for none and for what has no properties."""
    if name == "":
        return None
    if is_mixed(name) or name == "unknown":  # whatever may come on top
        return Gas(MIXED, unknown_bounds(), None)
    try:
        refrigerant = find(name)
        return Gas(refrigerant.name, properties(refrigerant), refrigerant)
    except (UnknownRefrigerant, NoProperties):
        return None


# What was found for a gas and a stamp: a branch has thousands of cylinders of some sizes.
Limits = dict[tuple[str, Stamp], tuple[float, ...]]


def _room(cylinder: Cylinder, state: CylinderState, gas: Gas | None, policy: Policy, found: Limits) -> Room | None:
    """The packet's own limits (`packet.rules.stop`) less what is in it; the scale, which is a job's, left aside."""
    if gas is None or policy.van_hottest_F > gas.fluid.highest_F:
        return None
    if gas.fluid.highest_F < fill.HOT_F:
        return None
    alike = (gas.name, stamp_of(cylinder))
    if alike not in found:
        temperatures_F = (fill.COLDEST_FILL_F, policy.van_hottest_F)
        found[alike] = tuple(_limit_lb(cylinder, gas, policy, temperature) for temperature in temperatures_F)
    left = [max(0.0, limit - state.contents_lb) for limit in found[alike]]
    return Room(left[0], left[1])


def _fillable(cylinder: Cylinder, asof: date) -> bool:
    """Whether anything may go into it at all: in service, in test, refillable."""
    last, spec = requalify_by(cylinder), read_spec(cylinder.spec)
    return not cylinder.out_of_service and last is not None and last >= asof and spec is not None and spec.refillable


def _limit_lb(cylinder: Cylinder, gas: Gas, policy: Policy, temperature_F: float) -> float:
    at = fill.fill_temperature_F(given(temperature_F, "°F", policy.where("van_hottest_F"), places=1))
    return limits(vessel_of(cylinder), terms_of(gas, policy, at)).net_lb.value


def _warnings(
    cylinder: Cylinder | None, state: CylinderState, room: Room | None, registers: Registers, asof: date
) -> Iterator[str]:
    units = registers.shop.units
    if state.discrepancy_lb is not None:
        gap = show_weight(float(abs(state.discrepancy_lb)), units)
        more = t(
            "The scale found {gap} more than tare and ledger ({record}): explain it.",
            gap=gap,
            record=state.discrepancy_from,
        )
        less = t(
            "The scale found {gap} less than tare and ledger ({record}): explain it.",
            gap=gap,
            record=state.discrepancy_from,
        )
        yield more if state.discrepancy_lb > 0 else less
    if state.ledger_kg < -SCALE_EXPLAINS_LB * mass.KG_IN_ONE_LB:
        yield t("More went out than ever came in: a record is missing or wrong.")
    if cylinder is None:
        yield t("Filed records name it, and cylinders.yaml does not.")
        return
    if cylinder.out_of_service:
        yield t("Out of service: {reason}.", reason=cylinder.out_of_service)
    if state.refrigerant == MIXED and _opening_gas(registers, cylinder.id) != MIXED:
        yield t("More than one gas went in: it counts as mixed.")
    if room is not None and room.at_hottest_lb <= 0.0:
        yield t("Full at the hottest; cool it, or draw off.") if room.at_77F_lb > 0.0 else t("Full.")
    last, spec = requalify_by(cylinder), read_spec(cylinder.spec)
    if spec is not None and not spec.refillable:
        yield t("Not refillable ({spec}): it may be emptied, not filled.", spec=cylinder.spec)
    if last is None:
        yield t("No retest month in the register: it may not be filled.")
    elif last < asof:
        yield t("Retest overdue since {date}: it may be emptied, not filled.", date=last.isoformat())
    elif last <= asof + timedelta(days=RETEST_NOTICE_DAYS):
        yield t("Retest due by {date}.", date=last.isoformat())


def _opening_gas(registers: Registers, cylinder: str) -> str | None:
    return next((item.refrigerant for item in registers.cylinders if item.id == cylinder), None)


HEADINGS = (
    P_("table head", "cylinder"),
    P_("table head", "where"),
    P_("table head", "holds"),
    P_("table head", "net"),
    P_("table head", "room at {temperature}"),
    P_("table head", "room at {temperature}"),
    P_("table head", "retest by"),
    P_("table head", "size"),
    P_("table head", "promised to"),
)


def sorted_by(found: CylinderList, order: str) -> CylinderList:
    """The list in another order: the most room first, the next retest first, what is not known last."""
    keys: dict[str, Callable[[CylinderLine], tuple[object, ...]]] = {
        "id": lambda line: (line.id,),
        "size": lambda line: (line.size_lb is None, line.size_lb or 0.0, line.id),
        "room": lambda line: ((room := _room_lb(line)) is None, -(room or 0.0), line.id),
        "gas": lambda line: (line.gas, line.id),
        "retest": lambda line: (line.retest_by is None, line.retest_by or date.max, line.id),
        "where": lambda line: (line.where, line.id),
    }
    return replace(found, lines=tuple(sorted(found.lines, key=keys[order])))


def _room_lb(line: CylinderLine) -> float | None:
    """The room to sort by, lb; of an empty cylinder, whose room depends on what goes in, 80 % of its water capacity (the
    trade's quick rule). None where nothing may go in, or nobody can say.
    """
    if line.room is not None:
        return line.room.at_hottest_lb
    return 0.8 * line.size_lb if line.fillable and line.gas == "" and line.size_lb else None


def cylinders_as_text(found: CylinderList, units: UnitSystem) -> str:
    """The list as columns for a terminal, each cylinder's warnings under it."""
    at = (show_temperature(fill.COLDEST_FILL_F, units), show_temperature(found.hottest_F, units))
    titles = [t(item) for item in HEADINGS[:4]]
    titles += [pt("table head", "room at {temperature}", temperature=temperature) for temperature in at] + [
        t(HEADINGS[6]),
        t(HEADINGS[7]),
        t(HEADINGS[8]),
    ]
    rows = [_cells(line, units) for line in found.lines]
    widths = [max(len(cell) for cell in column) for column in zip(titles, *rows, strict=True)]
    out = [t("Cylinders at the end of {date}", date=found.asof.isoformat()), ""]
    out.append(_columns(titles, widths))
    for line, row in zip(found.lines, rows, strict=True):
        out.append(_columns(row, widths))
        out += [f"{'':{widths[0]}}  {warning}" for warning in line.warnings]
    return "\n".join(out) + "\n"


def history_as_text(book: Ledger, cylinder: str, units: UnitSystem) -> str:
    """Everything that was filed about what is in a cylinder, a line each: the day, how much, what, by which record."""
    postings = [item for item in book.journal if item.cylinder == cylinder]
    rows = [
        (
            item.date,
            f"{'+' if item.kg > 0 else '−'}{show_weight(float(mass.lb_from_kg(abs(item.kg))), units)}",
            gas_named(item.gas),
            _how(item.how),
            item.source.record.name,
        )
        for item in postings
    ]
    opening = next((item.contents_lb for item in book.registers_opened.cylinders if item.id == cylinder), None)
    out = [t("Cylinder {cylinder} in the ledger:", cylinder=cylinder)]
    if opening is not None:
        out.append(t("  {weight} by the register, to begin with", weight=show_weight(opening, units)))
    widths = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)] if rows else []
    for row in rows:
        cells = (
            f"{cell:{'>' if at == 1 else '<'}{width}}" for at, (cell, width) in enumerate(zip(row, widths, strict=True))
        )
        out.append("  " + "  ".join(cells).rstrip())
    return "\n".join(out) + "\n"


def _how(how: str) -> str:
    if how in PURPOSES:
        return t(PURPOSES[how])
    return t(OTHER[how]) if how in OTHER else pt("table head", "recovered")


def _cells(line: CylinderLine, units: UnitSystem) -> list[str]:
    room = ("–", "–")
    if line.room is not None:
        room = (_floored(line.room.at_77F_lb, units), _floored(line.room.at_hottest_lb, units))
    return [
        line.id,
        line.where,
        line.gas or pt("cylinder", "empty"),
        show_weight(float(line.contents_lb), units),
        *room,
        line.retest_by.isoformat() if line.retest_by else "–",
        show_weight(line.size_lb, units) if line.size_lb is not None else "–",
        ", ".join(line.promised),
    ]


def _floored(lb: float, units: UnitSystem) -> str:
    """A limit is never rounded up in the unit it is read in."""
    value, step = (lb, 0.1) if units == "US" else (lb * KG_PER_LB, 0.01)
    return f"{floor_to(value, step)} {weight_unit(units)}"


_RIGHT = {3, 4, 5, 7}


def _columns(cells: Iterable[str], widths: list[int]) -> str:
    pairs = enumerate(zip(cells, widths, strict=True))
    return "  ".join(f"{cell:>{width}}" if at in _RIGHT else f"{cell:<{width}}" for at, (cell, width) in pairs).rstrip()
