"""The hoses of a job: picked once from the shop's kit, before any weight is computed, and handed on in the Plan.

What clearing leaves room for, the hookup, its hose list, the load list and the run sheet all say these hoses.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from packet.findings import Finding, finding
from packet.plan.case import Case
from packet.plan.gauge import site_gauge
from packet.plan.method import SHORT_NAMES
from packet.plan.model import HoseLetter, Hoses, OccupiedSpace, PickedHose, StageName
from packet.plan.space import room_is_small
from packet.shop.records import Hose, Kit, Machine, Ports, ShutOff, ValveName
from packet.statements import Amount, Statement, Word, statement
from packet.words import N_
from packet.worked import Worked, given

# Long enough to reach an appliance's ports from the floor, or a cylinder on the scale beside the machine. Common
# practice, no source; a 1.5 m hose passes for the first.
TO_APPLIANCE_FT = 4.5
BESIDE_FT = 2.5
# In place of a hose that the kit lacks: 5 ft of 3/8 in, the larger of the usual bores. Common practice, no source.
USUAL_HOSE_FT = 5.0
WIDE_IN = 0.375
NOT_IN_KIT = "missing"

# From this charge on wide hoses are worth their weight. Common practice, no source.
WIDE_FROM_LB = 50.0
# What a hose of 1/4 in carries, lb/min. Common practice, no source; held against a friction estimate of our own: liquid
# of 75 lb/ft³ through 5 ft with both fittings loses some 5 psi at 10 lb/min and four times that at 20, vapor of
# 1.3 lb/ft³ some 3 psi at 1 lb/min.
NARROW_IN = 0.26
NARROW_LIQUID_LB_PER_MIN = 10.0
NARROW_VAPOR_LB_PER_MIN = 1.0


@dataclass(frozen=True, slots=True)
class _Duty:
    """What a hose is for: where it goes (for the message), its least length, its shut-offs, the trade's color."""

    where: str
    length_ft: float
    shut_off: ShutOff
    color: str


# Hose D meets machine and cylinder and still holds gas when it comes off both; the others come off one end at a time,
# or drawn empty; the pump's is drawn empty always.
DUTIES: Mapping[HoseLetter, _Duty] = {
    "D": _Duty(N_("hose D, machine discharge to cylinder"), BESIDE_FT, "both-ends", "yellow"),
    "A": _Duty(N_("hose A, appliance liquid side"), TO_APPLIANCE_FT, "one-end", "red"),
    "B": _Duty(N_("hose B, appliance vapor side"), TO_APPLIANCE_FT, "one-end", "blue"),
    "C": _Duty(N_("hose C, to the machine's suction"), BESIDE_FT, "one-end", "yellow"),
    "P": _Duty(N_("hose P, to the vacuum pump"), BESIDE_FT, "none", "yellow"),
}

# which hoses take a stage's whole flow, and what 1/4 in carries of it; a vapor stage draws through A and B both
FLOW: Mapping[StageName, tuple[tuple[HoseLetter, ...], float]] = {
    "push-pull": (("A",), NARROW_LIQUID_LB_PER_MIN),
    "liquid": (("A", "C", "D"), NARROW_LIQUID_LB_PER_MIN),
    "vapor": (("C",), NARROW_VAPOR_LB_PER_MIN),
}


@dataclass(frozen=True, slots=True)
class HoseNeed:
    """What a job asks of its hoses. least_psig: what they must stand. flammable: only hoses rated for it, P too.

    wide: those that should be 3/8 in or wider, where the kit has such. both_ends: those that need a shut-off at each.
    """

    letters: tuple[HoseLetter, ...]
    least_psig: float
    flammable: bool
    wide: frozenset[HoseLetter] = frozenset()
    both_ends: frozenset[HoseLetter] = frozenset({"D"})

    def shut_off(self, letter: HoseLetter) -> ShutOff:
        """The shut-offs that the hose with this letter needs."""
        return "both-ends" if letter in self.both_ends else DUTIES[letter].shut_off


def plan_hoses(case: Case, stages: Sequence[StageName], space: OccupiedSpace | None, low_pressure: bool) -> Hoses:
    """The hoses of a job with these stages, or a stand-in for each that the kit lacks."""
    gas, ports = case.gas, case.job.appliance.ports.names
    unknown = gas.refrigerant is None
    least_psig = pressure_to_stand_psig(case)
    by_vacuum = purges_by_vacuum(
        case.policy.purge_hoses,
        dangerous=unknown or (gas.refrigerant is not None and (gas.refrigerant.flammable or gas.refrigerant.toxic)),
        room_is_small=room_is_small(case.job.site, space),
        low_pressure=low_pressure,
        ports=ports,
        must=_must_be_pumped(case, stages, least_psig),
    )
    need = HoseNeed(
        letters=hose_letters(ports, by_vacuum),
        least_psig=least_psig,
        flammable=unknown or (gas.refrigerant is not None and gas.refrigerant.flammable),
        wide=_wide(case, stages),
        both_ends=_both_ends(case, stages, least_psig),
    )
    return pick_hoses(case.registers.equipment.kit, need, by_vacuum=by_vacuum)


def purges_by_vacuum(
    policy: str,
    *,
    dangerous: bool,
    room_is_small: bool,
    low_pressure: bool,
    ports: Sequence[ValveName],
    must: bool = False,
) -> bool:
    """Whether air leaves the hoses by a vacuum pump, not by a push of vapor into the room.

    Always for flammable, class B and unknown gas (dangerous), in a small room, and where there is no vapor port to push
    from or, below the air's pressure, nothing to push with, or for another reason (must); else as the shop's policy
    says. Common practice, no source.
    """
    return policy == "vacuum" or dangerous or room_is_small or low_pressure or "vapor" not in ports or must


def _must_be_pumped(case: Case, stages: Sequence[StageName], least_psig: float) -> bool:
    """A burnout's gas is breathed by nobody; in push-pull hose A could only be pushed with liquid; nobody loosens a
    fitting on a live core; an empty cylinder's vacuum is read on the pump's gauge. Common practice, no source.
    """
    kit, ports = case.registers.equipment.kit, case.job.appliance.ports
    return (
        case.job.work.burnout
        or "push-pull" in stages
        or bool(closed_by_hose(ports, kit, least_psig))
        or any(state.contents_lb == 0.0 for _, state in case.named.cylinders)
    )


def hose_letters(ports: Sequence[ValveName], by_vacuum: bool) -> tuple[HoseLetter, ...]:
    """The hoses of a job, whatever its method: A and B to the ports there are, C, D, and P to a pump."""
    letters: list[HoseLetter] = ["A"] if "liquid" in ports else []
    letters += ["B"] if "vapor" in ports else []
    letters += ["C", "D"]
    return (*letters, "P") if by_vacuum else tuple(letters)


def core_tool_ports(ports: Ports, kit: Kit, least_psig: float) -> tuple[ValveName, ...]:
    """The Schrader ports that get one of the kit's core tools, liquid first: its ball valve closes them."""
    tools = sum(item.count for item in kit.core_tools if item.rating_psig >= least_psig)
    return tuple(port for port in ports.names if ports.kind(port) == "schrader")[:tools]


def closed_by_hose(ports: Ports, kit: Kit, least_psig: float) -> tuple[ValveName, ...]:
    """The ports that nothing but the shut-off at their hose's end closes, or that may be such: kind not stated."""
    tools = core_tool_ports(ports, kit, least_psig)
    return tuple(port for port in ports.names if ports.kind(port) in {"schrader", "not-stated"} and port not in tools)


def _both_ends(case: Case, stages: Sequence[StageName], least_psig: float) -> frozenset[HoseLetter]:
    """D; and in push-pull, where the far ends of A and B move while the near ones stand on the port, those that close
    their port."""
    if "push-pull" not in stages:
        return frozenset({"D"})
    letters: dict[ValveName, HoseLetter] = {"liquid": "A", "vapor": "B"}
    ports = closed_by_hose(case.job.appliance.ports, case.registers.equipment.kit, least_psig)
    return frozenset({"D", *(letters[port] for port in ports)})


def pressure_to_stand_psig(case: Case) -> float:
    """What hoses and fittings must stand, psig: the gas at the job's hottest and the margin at which work is stopped.

    No cylinder is let past that, whichever is taken. Common practice, no source.
    """
    hottest = site_gauge(case.gas.bubble_high(case.hottest_F()), case.barometer_psia).value
    return max(0.0, hottest + case.policy.stop_and_cool_margin_psi)


def _wide(case: Case, stages: Sequence[StageName]) -> frozenset[HoseLetter]:
    if case.charge_lb.value >= WIDE_FROM_LB:
        return frozenset({"A", "B", "C", "D"})
    machine = case.named.machine
    return frozenset(
        letter for stage in stages for letter in FLOW[stage][0] if (_rate(machine, stage) or 0.0) > FLOW[stage][1]
    )


def _rate(machine: Machine | None, stage: StageName) -> float | None:
    """The rate at which a stage is planned, lb/min, where its maker states one."""
    if machine is None:
        return None
    rates = machine.rates_lb_per_min
    return {"vapor": rates.vapor, "liquid": rates.liquid, "push-pull": rates.push_pull}[stage]


def pick_hoses(kit: Kit, need: HoseNeed, *, by_vacuum: bool) -> Hoses:
    """Pick each hose once: as many as can be had, then the best in the order of DUTIES (D wants its shut-offs most).

    A hose is taken only while the rest can still be had from what is left.
    """
    left = Counter({number: hose.count for number, hose in enumerate(kit.hoses)})
    fit = {
        letter: sorted(
            (number for number, hose in enumerate(kit.hoses) if _fits(hose, letter, need)),
            key=lambda number, letter=letter: _preference(kit.hoses[number], letter, need),  # type: ignore[misc]
        )
        for letter in DUTIES
        if letter in need.letters
    }
    letters = list(fit)
    picked: dict[HoseLetter, PickedHose] = {}
    for at, letter in enumerate(letters):
        rest = letters[at + 1 :]
        best = _most(fit, letters[at:], left)
        for number in fit[letter]:
            after = left - Counter({number: 1})
            if left[number] and 1 + _most(fit, rest, after) == best:
                picked[letter] = PickedHose(letter, kit.hoses[number])
                left = after
                break
        else:
            picked[letter] = PickedHose(letter, _stand_in(letter, need), missing=True)
    return Hoses(tuple(picked[letter] for letter in need.letters), need.least_psig, need.flammable, by_vacuum)


def _most(fit: Mapping[HoseLetter, Sequence[int]], letters: Sequence[HoseLetter], left: Counter[int]) -> int:
    """How many of these letters can be had at once: a matching, by augmenting paths."""
    holders: dict[int, list[HoseLetter]] = {}

    def place(letter: HoseLetter, tried: set[int]) -> bool:
        for number in fit[letter]:
            if number in tried or not left[number]:
                continue
            tried.add(number)
            held = holders.setdefault(number, [])
            if len(held) < left[number]:
                held.append(letter)
                return True
            for other in held:
                if place(other, tried):
                    held[held.index(other)] = letter
                    return True
        return False

    return sum(place(letter, set()) for letter in letters)


def _fits(hose: Hose, letter: HoseLetter, need: HoseNeed) -> bool:
    duty = DUTIES[letter]
    if not hose.count or hose.length_ft < duty.length_ft or (need.flammable and not hose.flammable_rated):
        return False
    if letter == "P":
        return True
    closes = hose.shut_off in {"both-ends", need.shut_off(letter)}
    return closes and hose.rating_psig >= need.least_psig


def _preference(hose: Hose, letter: HoseLetter, need: HoseNeed) -> tuple[bool, bool, bool, float, float]:
    """Wide where that is asked; no more shut-offs than it needs; the side's color; no longer, no wider than it must be."""
    duty = DUTIES[letter]
    return (
        letter in need.wide and hose.bore_in < WIDE_IN,
        hose.shut_off != need.shut_off(letter),
        hose.color != duty.color,
        hose.length_ft,
        hose.bore_in,
    )


def _stand_in(letter: HoseLetter, need: HoseNeed) -> Hose:
    return Hose(
        id=NOT_IN_KIT,
        length_ft=USUAL_HOSE_FT,
        bore_in=WIDE_IN,
        rating_psig=max(need.least_psig, 1.0),
        shut_off=need.shut_off(letter),
    )


def volume_inputs(hoses: Hoses, letter: HoseLetter) -> tuple[Worked, Worked]:
    """Length, ft, and bore, in, of the hose with this letter, or of a usual one where the job has none."""
    found = hoses.picked_for(letter)
    if found is None or found.missing:
        usual = N_("the kit names no hose that fits: common practice, no source")
        return given(USUAL_HOSE_FT, "ft", usual, places=1), given(WIDE_IN, "in", usual)
    hose = found.hose
    return given(hose.length_ft, "ft", hose.where("length_ft")), given(hose.bore_in, "in", hose.where("bore_in"), 4)


def hose_findings(case: Case, hoses: Hoses, stages: Sequence[StageName]) -> tuple[Finding, ...]:
    """What the kit lacks (a stop each), and a caution where a narrow hose must carry more than it does well."""
    lacking = [
        finding(
            "kit-missing",
            case.units,
            source=N_("common practice, no source"),
            where="machines.yaml kit",
            what=hose_words(item, hoses),
            remedy=statement("fetch-or-enter"),
        )
        for item in hoses.picked
        if item.missing
    ]
    return (*lacking, *_narrow(case, hoses, stages))


def _narrow(case: Case, hoses: Hoses, stages: Sequence[StageName]) -> list[Finding]:
    found = []
    for stage in stages:
        letters, carries = FLOW[stage]
        rate = _rate(case.named.machine, stage)
        narrow = [
            item
            for item in hoses.picked
            if item.letter in letters and not item.missing and item.hose.bore_in <= NARROW_IN
        ]
        if rate is None or rate <= carries or not narrow:
            continue
        found.append(
            finding(
                "hose-too-narrow",
                case.units,
                source=N_("common practice, no source"),
                where=narrow[0].hose.where("bore_in"),
                stage=Word(SHORT_NAMES[stage]),
                rate=Amount(rate, "rate"),
                letters=", ".join(item.letter for item in narrow),
                bore=Amount(max(item.hose.bore_in for item in narrow), "bore"),
                carries=Amount(carries, "rate"),
                wide=Amount(WIDE_IN, "bore"),
            )
        )
    return found


def hose_words(item: PickedHose, hoses: Hoses) -> Statement:
    """What a hose must be in this place."""
    duty = DUTIES[item.letter]
    wanted = [statement("or-longer", length=Amount(duty.length_ft, "length"))]
    if item.letter != "P":
        wanted.append(statement("rated-at-least", pressure=Amount(hoses.least_psig, "pressure")))
        wanted.append(statement("shut-off-both" if item.hose.shut_off == "both-ends" else "shut-off"))
    if hoses.flammable:
        wanted.append(statement("for-flammable"))
    return statement("hose-wanted", where=Word(duty.where), wanted=tuple(wanted))
