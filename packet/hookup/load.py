"""What the truck must carry for a hookup: everything its steps put a hand on, and nothing that none does.

Gear is named by the acts that use it (`Act.uses`); kit by what the rig is made of. A test holds the two together.
"""

from collections.abc import Iterator

from packet.hookup.kit import DETECTOR, RATED_DETECTOR
from packet.hookup.program import Program
from packet.hookup.rig import Rig
from packet.hookup.walk import Breach
from packet.statements import Amount, Statement, statement, thing
from packet.words import N_, t

# gear that an act may use: what it is called on the load list, how many
GEAR: dict[str, tuple[tuple[str, int], ...]] = {
    "face-shield": ((N_("face shield"), 2),),
    "lined-gloves": ((N_("lined gloves, pair"), 2),),
    "chemical-gloves": ((N_("chemical-resistant gloves, pair"), 2),),
    "both-gloves": ((N_("lined gloves, pair"), 2), (N_("chemical-resistant gloves, pair"), 2)),
    "acid-gloves": ((N_("lined gloves, pair"), 2), (N_("acid-proof gloves, pair"), 2)),
    "respirator": ((N_("respirator for organic vapor"), 2),),
    "oxygen-monitor": ((N_("oxygen monitor"), 1),),
    "roof": ((N_("ladder ties, hoist line, harness"), 1),),
    "bonding": ((N_("bonding cable"), 3), (N_("left-hand cylinder fitting"), 1)),
    "lock": ((N_("lock and tag"), 1),),
    "voltage-tester": ((N_("voltage tester"), 1),),
    "magnet": ((N_("solenoid magnet"), 1),),
    "thermometer": ((N_("clamp-on thermometer"), 1),),
    "leak-solution": ((N_("leak-check solution"), 1),),
    "tags": ((N_("tags and caps"), 1),),
    "float-cable": ((N_("float-switch cable"), 1),),
    "acid-test": ((N_("acid test kit"), 1),),
    "mallet": ((N_("rubber mallet"), 1),),
    "heat-blanket": ((N_("heat blanket"), 1),),
    "water-hoses": ((N_("water hoses for the recovery unit's condenser"), 2),),
    "check-weight": (),
    "detector": (),
}


def uses_of(program: Program) -> Iterator[str]:
    """Every piece of gear that some act puts a hand on, in the order it is first needed."""
    blocks = (*program.blocks, *([program.swap] if program.swap else []))
    seen = (use for block in blocks for line in block.lines for act in line.acts for use in act.uses)
    yield from dict.fromkeys(seen)


def load_list(rig: Rig, program: Program) -> tuple[tuple[Statement, int], ...]:
    """(name, count), machine and cylinders first, then kit, then what people wear and how it is lifted."""
    request = rig.request
    items: list[tuple[Statement, int]] = [(statement("kit-machine", id=request.machine), 1)]
    items += [(statement("kit-cylinder", id=cylinder.id), 1) for cylinder in request.cylinders]
    items.append((statement("kit-scale", id=request.scale), 1))
    if request.check_weight_lb is not None:
        items.append((statement("kit-check-weight", weight=Amount(request.check_weight_lb, "weight")), 1))
    # in the same order in every language
    items += sorted(rig.kit.counts.items(), key=lambda item: item[0].citation())
    gear: dict[str, int] = {}
    for use in uses_of(program):
        for name, count in GEAR[use]:
            gear[name] = max(gear.get(name, 0), len(request.cylinders) if use == "tags" else count)
    items += [(thing(name), count) for name, count in gear.items()]
    items += [(thing(name), 1) for name in request.lifts]
    return tuple(items)


def unlisted(rig: Rig, program: Program) -> Iterator[Breach]:
    """Kit that a step names and the list has not."""
    last = program.blocks[-1]
    detector = any(item in rig.kit.counts for item in (DETECTOR, RATED_DETECTOR))
    for use in uses_of(program):
        if (use == "detector" and not detector) or use not in GEAR:
            yield Breach(last.printed, last.printed, t("a step uses what is not on the load list: {what}", what=use))
