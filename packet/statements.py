"""What a plan says beside its findings: a code with parameters, whose sentence is made here and nowhere else.

A plan is computed, kept and compared without words; they come when somebody reads it, in that reader's language and
the shop's units. Codes once published keep their meaning.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Literal, Union

from packet.figures import (
    show_bore,
    show_charge,
    show_length,
    show_pressure,
    show_rate,
    show_room,
    show_rule_weight,
    show_sum_weight,
    show_temperature,
    show_vacuum,
    show_weight,
)
from packet.units import UnitSystem
from packet.words import DEFAULT_LANGUAGE, N_, NN_, said, speaking, t, tn
from packet.worked import Worked

Shown = Literal[
    "weight",
    "exact-weight",
    "whole-weight",
    "sum-weight",
    "charge",
    "rule-weight",
    "pressure",
    "exact-pressure",
    "temperature",
    "exact-temperature",
    "vacuum",
    "room",
    "rate",
    "length",
    "bore",
]


@dataclass(frozen=True, slots=True)
class Amount:
    """A quantity inside a sentence, in US units (lb, psig, °F, inHg of vacuum, ft³, lb/min, ft, in), and how it is shown."""

    value: float
    shown: Shown


@dataclass(frozen=True, slots=True)
class Word:
    """A word inside a sentence that is said in the reader's language: a marked message."""

    word: str


# the last two: a piece of a sentence with places of its own; several, with commas between
Param = Union[str, int, float, Amount, Word, "Statement", tuple[Union[str, Amount, Word, "Statement"], ...]]


@dataclass(frozen=True, slots=True)
class Statement:
    """One sentence of a plan, as its code in STATEMENTS and what fills its places."""

    code: str
    params: tuple[tuple[str, Param], ...] = ()

    def sentence(self, units: UnitSystem, places: int | None = None) -> str:
        """The sentence in the current language, quantities in the shop's units, weights with the decimals of the scale."""
        message, values = STATEMENTS[self.code], dict(self.params)
        filled = shown(self.params, units, places)
        if isinstance(message, tuple):
            return tn(
                *message, int(str(values["count"])), **{key: text for key, text in filled.items() if key != "count"}
            )
        return t(message, **filled) if filled else t(message)

    def citation(self) -> str:
        """The sentence in English and US units whoever reads it: which row of a regulation's table a source means."""
        with speaking(DEFAULT_LANGUAGE):
            return self.sentence("US")


def statement(code: str, **params: Param) -> Statement:
    """A Statement of the given code. Raises KeyError for a code that is not in the table."""
    if code not in STATEMENTS:
        raise KeyError(code)
    return Statement(code, tuple(params.items()))


NONE_IN_REGISTER = Statement("none-in-register")


def thing(name: str) -> Statement:
    """Something that one marked word names."""
    return statement("thing", name=Word(name))


def listed(names: tuple[Word, ...]) -> Param:
    """Names in one phrase: 'a, b and c'."""
    return names if len(names) < 2 else statement("listed", names=names[:-1], last=names[-1])


def sentences(statements: tuple[Statement, ...], units: UnitSystem, places: int | None = None) -> tuple[str, ...]:
    """The sentences of several."""
    return tuple(item.sentence(units, places) for item in statements)


def governing(code: str, limit: Worked) -> Statement:
    """Which limit holds for a cylinder, by its code; limit: its working, which has the shop's ceiling in it."""
    params: dict[str, Param] = {}
    ceiling = dict(limit.inputs).get("ceiling")
    if ceiling is not None:
        params["ceiling"] = ceiling.value
    if code == "by_hot_level":
        params["temperature"] = Amount(131.0, "temperature")  # 49 CFR 173.304
    return statement(code, **params)


_SHOW: dict[Shown, Callable[[float, UnitSystem], str]] = {
    "weight": show_weight,
    "exact-weight": partial(show_weight, places=2),
    "whole-weight": partial(show_weight, places=0),
    "sum-weight": show_sum_weight,
    "charge": show_charge,
    "rule-weight": show_rule_weight,
    "pressure": show_pressure,
    "exact-pressure": partial(show_pressure, places=1),
    "temperature": show_temperature,
    "exact-temperature": partial(show_temperature, places=1),
    "vacuum": show_vacuum,
    "room": show_room,
    "rate": show_rate,
    "length": show_length,
    "bore": show_bore,
}


def shown(params: tuple[tuple[str, Param], ...], units: UnitSystem, places: int | None = None) -> dict[str, str]:
    """What fills a sentence's places, in the current language and the shop's units.

    places: the decimals of the job's scale, where its paper is written: no weight is written in two ways there.
    """
    return {name: _shown(value, units, places) for name, value in params}


def _shown(value: Param, units: UnitSystem, places: int | None) -> str:
    match value:
        case Amount(shown="weight"):
            return show_weight(value.value, units, places)
        case Amount(shown="charge"):
            return show_charge(value.value, units, places or 0)
        case Amount():
            return _SHOW[value.shown](value.value, units)
        case Word():
            return said(value.word)
        case Statement():
            return value.sentence(units, places)
        case tuple():
            return ", ".join(_shown(item, units, places) for item in value)
        case float():
            return f"{value:g}"
        case int():
            return str(value)
        case _:
            return value


STATEMENTS: dict[str, str | tuple[str, str]] = {
    # method: why it was chosen
    "method-forced": N_("The job names this method; left to itself the packet would choose {method}."),
    "push-pull-large-charge": N_(
        "{charge} is a large charge: push-pull moves it fastest, and the machine never sees liquid."
    ),
    "push-pull-possible": N_(
        "Liquid and vapor can be reached, a solid column of liquid can form, and nothing speaks against it."
    ),
    "push-pull-then-vapor": N_("What push-pull leaves behind is drawn as vapor."),
    "liquid-faster": N_("The liquid side can be reached: {charge} comes out faster as liquid, and the rest as vapor."),
    "liquid-after-burnout": N_(
        "After a burnout the liquid carries acid and oil: new filter-drier ahead of the machine."
    ),
    "vapor-little-charge": N_("{charge} is little: drawing it as vapor alone is quick and needs the fewest hoses."),
    "vapor-always-possible": N_("Vapor can always be drawn, and the other methods are ruled out."),
    # method: why the others were not
    "cylinder-lacks-a-valve": N_("Cylinder {cylinder} has no liquid and vapor valve both."),
    "cylinder-holds-too-much": N_("Cylinder {cylinder} already holds {contents}, more than {heel}."),
    "push-pull-not-worth": N_("For {charge} connecting twice takes longer than push-pull saves."),
    "push-pull-charge-too-small": N_("The system holds {charge}, less than {least}."),
    "push-pull-reversing-valve": N_("It is a heat pump or has a reversing valve."),
    "push-pull-accumulator": N_("There is an accumulator between the ports that would be used."),
    "push-pull-no-column": N_("No solid column of liquid is known to form between the ports."),
    "low-never-throttled": N_(
        "Low pressure: its liquid comes out by the unit's own push-pull, never through a throttled compressor inlet."
    ),
    "isolated-is-vapor": N_("The rest is pumped into the receiver: what is left in the isolated part is vapor."),
    "liquid-not-reached": N_("The liquid side cannot be reached."),
    "vapor-not-reached": N_("The vapor side cannot be reached."),
    "no-sight-glass": N_("The kit has no sight glass rated for {pressure}."),
    "fewer-than-three-hoses": N_("The kit has fewer than three hoses."),
    "no-push-pull-rate": N_("The maker of machine {machine} gives no rate for push-pull."),
    "no-liquid-rate": N_("The maker of machine {machine} gives no rate for liquid."),
    "liquid-saves-no-time": N_("{charge} is little: drawing liquid first saves no time."),
    "chiller-gives-liquid-first": N_(
        "A low-pressure chiller gives its liquid first, then its vapor, so that no tube freezes."
    ),
    "vapor-takes-long": N_("Drawing {charge} as vapor alone takes far longer."),
    # how deep: the row or exception
    "not-identified-deepest": N_("The gas is not identified and may be {classes}: the deepest target is taken."),
    "class-named-by-rule": N_("40 CFR 82.152 itself calls {gas} {class_name}."),
    "estimate-deepest": N_("The estimate may be {classes}: the deeper target is taken."),
    "small-compressor-runs": N_(
        "Small appliance, compressor running: at least {percent} % of the charge by weight, judged after clearing, or"
        " {vacuum}."
    ),
    "small-compressor-off": N_(
        "Small appliance, compressor not running: at least {percent} % of the charge by weight, judged after clearing, or"
        " {vacuum}."
    ),
    "small-by-vacuum": N_(
        "Small appliance: {percent} % of this charge is less than {steps} steps of scale {scale}, which cannot show it:"
        " {vacuum} instead."
    ),
    "not-major": N_("A repair that is not major, with no evacuation to the air after it: no higher than {zero}."),
    "low-not-major-heat": N_(
        "Low pressure, a repair that is not major: raised to no more than {zero} with controlled warm water or heat, not"
        " with nitrogen."
    ),
    "low-not-major": N_(
        "Low pressure, a repair that is not major, boiling above {boiling}: raised to no more than {zero}, with heat as"
        " far as heat takes it, the rest with nitrogen."
    ),
    "low-pressure-absolute": N_("Low pressure: read on the absolute gauge."),
    "table-1": N_("Table 1: {class_name}, {date}."),
    "table-1-large": N_("Table 1: {class_name}, {large} or more, {date}."),
    "table-1-small": N_("Table 1: {class_name}, less than {large}, {date}."),
    "isolated-part": N_("Only the isolated part of {charge} is drawn down; the receiver holds the other {rest}."),
    "leaking": N_(
        "Leaking: isolate the leak and draw what is sound to the target; the leaking part to the lowest level that does not"
        " substantially contaminate the refrigerant, and no higher than {zero}. Don't go below {zero} on it: that draws in"
        " air."
    ),
    "isolated-by-valves": N_(
        "Only the isolated part of {charge} is drawn down; its own shut-off valves close it off from the other {rest}."
    ),
    "oil-change": N_("Opened only to change the oil: the law allows up to {pressure} for it; less is planned."),
    "target-by-policy": N_("The target is the shop's policy: the law exempts this gas in this use from recovery."),
    # which limit governs a cylinder
    "by_volume": N_("{ceiling} % liquid by volume at the fill temperature"),
    "by_hot_level": N_("{ceiling} % liquid by volume at {temperature}"),
    "by_filling_density": N_("listed filling density"),
    "by_stamp": N_("maximum gross weight stamped on the cylinder"),
    "by_scale": N_("capacity of the scale"),
    # the quick rule
    "quick-rule-safe": N_("The quick rule stays below the limit for {refrigerant}: safe here, room is left unused."),
    "quick-rule-bursts": N_(
        "The quick rule allows {over} too much for {refrigerant}: filled by it, the cylinder is liquid-full before {hot}"
        " and can burst. Do not use it."
    ),
    "quick-rule-over": N_(
        "The quick rule allows {over} too much for {refrigerant}: filled by it, liquid takes {level} % of the cylinder at"
        " {hot}. Do not use it."
    ),
    # what else to fetch
    "take-as-well": NN_(
        "Take this one as well: {ids} (room for {room}).",
        "Take these {count} as well: {ids} (room for {room}).",
    ),
    "no-kind-is-fit": N_("No kind of cylinder in the register is fit; room for {missing} is missing."),
    "none-free": NN_(
        "No free cylinder of the register would do; {count} more, empty, with room for {each} is needed.",
        "No free cylinder of the register would do; {count} more, empty, with room for {each} each are needed.",
    ),
    "free-do-not-suffice": NN_(
        "All that would do ({ids}) take {room}; {count} more, empty, with room for {each} is needed.",
        "All that would do ({ids}) take {room}; {count} more, empty, with room for {each} each are needed.",
    ),
    # what the law asks to be recorded, told or kept
    "keep-three-years": N_(
        "The shop's policy, for every job: we keep for three years what was recovered, where, when, of what type and how"
        " much."
    ),
    "disposal-record": N_(
        "Disposed of, more than {above} and less than {below}: the technician or his company keeps for three years the"
        " company, place, date and type, the month's total by type, and what was sent for reclaim or destruction, to whom"
        " and when (40 CFR 82.156(a)(3))."
    ),
    "scrap-statement": N_(
        "Small appliance for scrap: hand over with it the signed statement with name and address of who recovered the"
        " refrigerant and the date; or, where all of it had leaked out before, the statement that says so"
        " (40 CFR 82.155)."
    ),
    "service-record": N_(
        "{large} or more of an ozone-depleting refrigerant: work out the leak rate from this sheet and keep it with the"
        " records (40 CFR 82.157)."
    ),
    "hfc-leak-repair": N_(
        "{large} or more of this kind of refrigerant: work out the leak rate from this sheet, have leaks repaired, keep the"
        " records three years (40 CFR 84.106)."
    ),
    "same-owner-reuse": N_(
        "Recovered refrigerant goes back as it is only into equipment of the same owner (40 CFR 82.156(h))."
    ),
    "sale-ban": N_(
        "It is not sold or handed to another owner before a certified reclaimer has reclaimed it (40 CFR 82.154(d))."
    ),
    # what each of these is owed for
    "if-disposal": N_("the appliance is disposed of"),
    "if-above-5-lb": N_("the full charge is more than {weight}"),
    "if-below-50-lb": N_("the full charge is less than {weight}"),
    "if-50-lb": N_("the full charge is {weight} or more"),
    "if-15-lb": N_("the full charge is {weight} or more"),
    "if-not-exempt": N_("venting is not exempt for this gas in this use"),
    "if-small": N_("it is a small appliance"),
    "if-ozone-depleting": N_("the refrigerant is, or holds, an ozone-depleting one"),
    "if-not-ozone-depleting-alone": N_("the refrigerant is not ozone-depleting alone"),
    "if-hfc-or-gwp-53": N_("it holds an HFC, or is a substitute with a warming potential above 53"),
    "if-since-2026": N_("the work is done on Jan 1, 2026 or later"),
    "if-not-comfort": N_("it is not residential or light commercial air conditioning or a heat pump"),
    "if-may-go-back": N_("the refrigerant may go back into the owner's equipment"),
    "if-may-leave-the-owner": N_("the refrigerant may leave its owner"),
    # pieces of sentences: contents, people, what would do
    "gas-amount": N_("{weight} of {refrigerant}"),
    "holds-amount": N_("{weight} {refrigerant}"),
    "none-in-register": N_("none in the register"),
    "and-more": NN_("{ids} and {count} more", "{ids} and {count} more"),
    "this-cylinder": N_("cylinder {cylinder}"),
    "this-machine": N_("machine {machine}"),
    "truck-for-job": N_("truck {truck} for {job}"),
    "gas-for-job": N_("{refrigerant} for {job}"),
    # pieces: hoses, kit, ports
    # Translators: where: which hose; wanted: what it must be, with commas between. Ends the sentence "Kit is missing: …"
    "hose-wanted": N_("{where}: {wanted}"),
    "or-longer": N_("{length} or longer"),
    "rated-at-least": N_("rated {pressure} or more"),
    "shut-off": N_("with a shut-off"),
    "shut-off-both": N_("with a shut-off at both ends"),
    "for-flammable": N_("for flammable refrigerant"),
    "fetch-or-enter": N_("Fetch it, or enter it under 'kit' if the shop has it."),
    "use-another": N_("Use another method or another cylinder."),
    # why there are no properties
    "no-refrigerant": N_("no refrigerant is called '{name}'"),
    "no-refrigerant-but": N_("no refrigerant is called '{name}'; did you mean {suggestions}?"),
    "no-equation": N_("the property library has no equation of state for {parts}"),
    "no-mixture-parameters": N_(
        "the property library has mixture parameters neither for {pairs} nor for pairs like it"
    ),
    "no-solution": N_("the property library finds no solution ({error})"),
    "no-smooth-curve": N_("the solutions for {refrigerant} do not lie on one smooth curve"),
    "not-monotonic": N_("the solutions for {refrigerant} are not monotonic in temperature"),
    "phases-swapped": N_("a solution for {refrigerant} has its phases the wrong way round"),
    "figures-only-from": N_(
        "{refrigerant} has figures from {lowest} to {highest} only (asked for {asked}; critical temperature {critical})"
    ),
    "not-vapor-at": N_("{refrigerant} is not vapor at {temperature} and {pressure} psia"),
    "does-not-have": N_("{refrigerant} does not have that {what} between {lowest} and {highest}"),
    "no-liquid-at-131": N_(
        "it has no liquid at {temperature}, so no fill limit can be given; it needs cylinders of another kind."
    ),
    "then-mixed": N_("{reason}. Write 'refrigerant: mixed': it is then planned as a gas of unknown kind."),
    # what the truck takes along; `thing` is named by one word
    "thing": N_("{name}"),
    "kit-hose": N_("hose {id}, {length}, {rating}"),
    "kit-manifold": N_("manifold gauge set {id}, {valves} valves"),
    "kit-drier": N_("filter-drier {id}"),
    "kit-sight-glass": N_("sight glass {id}"),
    "kit-header": N_("two-way header {id}"),
    "kit-machine": N_("recovery machine {id}"),
    "kit-cylinder": N_("cylinder {id}"),
    "kit-scale": N_("scale {id}"),
    "kit-check-weight": N_("check weight {weight}"),
    # what is missing of it
    "no-sight-glass-in-kit": N_("a sight glass ({rating})"),
    "no-high-acid-drier": N_("a high-acid filter-drier ({rating}): always in line after a burnout"),
    "no-manifold": N_("a manifold gauge set ({rating})"),
    "too-few-tees": N_("tees with a valve ({rating}): {needed} needed, {have} in the kit"),
    "too-few-piercing-valves": N_("piercing valves ({rating}): {needed} needed, {have} in the kit"),
    "no-micron-gauge": N_("a micron gauge: the vacuum is read on it"),
    "no-absolute-gauge": N_("an absolute gauge: the target of a low-pressure system is absolute"),
    "no-identifier": N_("a refrigerant identifier: nobody knows this gas"),
    "no-nitrogen": N_("oxygen-free nitrogen with regulator: the vacuum is broken with it"),
    "no-port": N_("a reachable {port} on the appliance"),
    "no-two-valves": N_("a liquid and a vapor valve on cylinder {cylinder}: push-pull needs both"),
    "no-suction-port": N_("a reachable suction port: liquid of low pressure never goes through a throttled inlet"),
    # Translators: the end of a list in a sentence; names: all but the last, with commas between
    "listed": N_("{names} and {last}"),
    "of-a-rating": N_("{what}, {rating}"),
    "or-start-later": N_(", or start at {time} or later"),
    "or-as-well": N_(", or what does as well: {wanted}"),
    "both": N_("{one}; {other}"),
    # what asks for a second person
    "for-push-pull": N_("push-pull of more than {weight}"),
    "for-room-limit": N_("the charge exceeds the room's limit"),
    "for-toxic": N_("toxic refrigerant"),
    "for-unknown": N_("refrigerant not identified"),
    "for-roof-edge": N_("a roof edge"),
    "for-permit-space": N_("a permit space"),
    # estimates: what, and how
    "unknown-density-and-pressure": N_("density and pressure of an unknown gas"),
    "liquid-density": N_("liquid density, taken low in every limit"),
    "pressure": N_("pressure, taken high where it decides whether a cylinder is fit"),
    "liquid-full-beyond": N_("a liquid-full temperature above the computed range"),
    "remaining-vapor": N_("vapor that remains in the system"),
    "stage-times": N_("time of each stage"),
    "how-stated": N_("{how}"),
    "how-beyond": N_("a little low, the safe side"),
    "how-system-volume": N_("system volume taken as three times the liquid's: common practice, no source"),
    "how-shell-volume": N_("shells of a chiller taken as 25 times the liquid's volume: common practice, no source"),
    "how-times": N_("the machine's stated rates and usual handling times"),
}
