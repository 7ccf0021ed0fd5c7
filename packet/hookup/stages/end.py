"""The end: clear, off, shut, disjoin, weigh, tag; and what comes before the system is opened."""

from collections.abc import Iterator

from packet.figures import show_gauge, show_pressure, show_temperature
from packet.hookup.acts import Act, Effect, did, mode, parts_at, shuts
from packet.hookup.request import CylinderNeed
from packet.hookup.rig import Rig
from packet.hookup.rules import has_crankcase_heater
from packet.hookup.stages.push_pull import cleared_words
from packet.hookup.stages.say import ask, hold, in_groups, shell_caution, word_clear, word_off
from packet.hookup.stages.weigh import weigh_after
from packet.words import t


def end(rig: Rig) -> tuple[Act, ...]:
    """From the rise check (inlet shut, machine off, cylinder open) to the last signature."""
    request = rig.request
    cylinder = request.cylinders[-1]
    acts = [
        *_clear_and_shut(rig, cylinder),
        hold("shut", t("Hold. Machine off and cleared; cylinder, discharge, manifold and appliance shut.")),
        *_disjoin(rig, cylinder),
        weigh_after(rig, cylinder),
        Act(t("Leak-check the cylinder's valves and cap them; cap every hose and port."), did("capped"), "check"),
        Act(
            t("Tie the filled-in tag on {cylinder}; stand it upright, shaded and tied.", cylinder=cylinder.id),
            did("tagged"),
        ),
        hold("weighed", t("Hold. Weights written, cylinders capped and tagged.")),
        *_before_opening(rig),
        _after_standing(rig, cylinder),
        Act(
            t("Before another refrigerant: evacuate machine and hoses, new filter-drier, screen cleaned."),
            did("next-gas"),
            "check",
        ),
    ]
    return in_groups(acts, hold("end", t("Hold. Record filled in; all weights, times and readings are on it.")))


def _clear_and_shut(rig: Rig, cylinder: CylinderNeed) -> Iterator[Act]:
    request = rig.request
    receive = rig.receive(cylinder)
    yield Act(
        t(
            "See that the machine inlet is shut, then set the machine to “{word}”: it empties itself into {cylinder}.",
            word=word_clear(request),
            cylinder=cylinder.id,
        ),
        mode("clear"),
        cautions=(
            t("Ended on an earlier cylinder? Do this stage with the one on the scale, mark the others not used."),
        )
        if len(request.cylinders) > 1
        else (),
    )
    yield Act(
        cleared_words(rig),
        (Effect("cleared"),),
        "wait",
        blanks=(ask(request, "times.end", t("Machine off and cleared"), "time"),),
    )
    yield Act(t("Set the machine to “{word}”.", word=word_off(request)), mode("off"))
    yield Act(
        t("Shut the {valve}, then the machine discharge.", valve=rig.valve(receive)),
        shuts(receive, "machine.discharge"),
    )
    appliance = rig.appliance_valves if not request.raise_to_atmosphere else ("appliance.liquid",)
    yield Act(
        t("Shut the {valves}.", valves=rig.names((*appliance, *rig.utility_valves))),
        shuts(*appliance, *rig.utility_valves),
    )
    offs = rig.shut_offs(*rig.letters)
    yield Act(t("Shut the hose shut-offs: {ends}.", ends=rig.ends(*rig.letters)), shuts(*offs))


def _disjoin(rig: Rig, cylinder: CylinderNeed) -> Iterator[Act]:
    request = rig.request
    at = "tee-cylinder.out" if "tee-cylinder" in rig.bench.parts else "D2"
    yield Act(
        t("Take hose D off {cylinder}. Loosen slowly.", cylinder=cylinder.id),
        parts_at([at]),
        cautions=(t("Gloves and face shield: a puff is normal, a stream is an open valve. Tighten."),),
    )
    b_end = "tee-appliance.out" if "tee-appliance" in rig.bench.parts else "B1"
    ports = [*(["A1"] if rig.has_liquid else []), *([b_end] if rig.has_vapor else [])]
    words = (
        t("Take the hoses off the piercing valves; the valves stay on, shut and capped.")
        if request.pierced
        else t("Take the hoses off the appliance and cap its ports.")
    )
    yield Act(words, parts_at(ports))
    machine_side = "drier.out" if "drier" in rig.bench.parts else "C2"
    words = (
        t("Take the hoses and the filter-drier off the machine; cap its ports.")
        if "drier" in rig.bench.parts
        else t("Take the hoses off the machine and cap its ports.")
    )
    waste = (t("After a burnout the drier is acid waste: bag it, mark it."),) if request.burnout else ()
    yield Act(words, parts_at([machine_side, "D1"]), cautions=waste)
    if request.vacuum_purge:
        yield Act(t("Take hose P off the vacuum pump; cap both."), (*shuts(*rig.shut_offs("P")), *parts_at(["P2"])))
    if request.chiller:
        yield Act(t("Stop the water pumps, or leave the bundles drained."), (Effect("water", to="off"),))


def _before_opening(rig: Rig) -> Iterator[Act]:
    """What is due before a torch or a tool opens the system."""
    request = rig.request
    if request.raise_to_atmosphere:
        # 40 CFR 82.156(a)(1)(ii): raised to no more than 0 psig with controlled heat, not with nitrogen
        yield Act(
            t(
                "Raise the shell with warm water or the heater to {zero} and no higher. No nitrogen.",
                zero=show_pressure(0.0, request.units),
            ),
            did("raised"),
            "read",
            blanks=(ask(request, "final.gauge", t("Final gauge reading"), "absolute"),),
            cautions=shell_caution(request),
        )
    if has_crankcase_heater(request):
        yield Act(t("Switch the crankcase heater off before the system is opened."), did("heater-off"))
    if request.torch:
        limit = (
            t(
                "Sweep the system with oxygen-free nitrogen until the detector reads under 25 % of the lower flammability limit."
            )
            if request.flammable
            else t("Sweep the system with oxygen-free nitrogen, open to outdoors, before any torch.")
        )
        yield Act(
            limit,
            did("nitrogen"),
            cautions=(
                t("Refrigerant in a flame gives acid and toxic gas: no torch before the sweep."),
                t("Nitrogen through a regulator and a relief valve only; never oxygen, never air."),
            ),
        )
    if request.burnout:
        yield Act(
            t("Warm the oil to 130 °F, drain it into a marked can: acid waste. Wash gloves and tools.")
            if request.units == "US"
            else t("Warm the oil to 55 °C, drain it into a marked can: acid waste. Wash gloves and tools."),
            did("oil"),
            cautions=(t("Its cylinder is for this gas alone, marked burnout."),),
        )


def _after_standing(rig: Rig, cylinder: CylinderNeed) -> Act:
    """Air in the cylinder shows as pressure above what its temperature gives."""
    request = rig.request
    blanks = (
        ask(request, f"cylinders.{cylinder.id}.pressure_after_standing", t("Pressure after standing"), "pressure"),
        ask(request, f"cylinders.{cylinder.id}.wall_after_standing", t("Wall temperature"), "temperature"),
    )
    row = min(request.bubble_rows, key=lambda item: abs(item.temperature_F - request.ambient_F), default=None)
    if row is None or request.unknown:
        words = t("After standing, read pressure and wall temperature; compare with the Pressure sheet.")
    else:
        words = t(
            "After standing, read pressure and wall temperature: at {temperature} above {pressure} means air in it.",
            temperature=show_temperature(row.temperature_F, request.units),
            pressure=show_gauge(row.suspect_air_psig, request.units),
        )
    return Act(
        words,
        did("stand"),
        "read",
        blanks=blanks,
        cautions=(
            t(
                "Its relief device lets go when it gets too hot: never in sun, never in a closed van above the plate's limit."
            ),
        ),
    )
