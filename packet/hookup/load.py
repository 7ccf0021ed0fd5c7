"""What the truck must carry for a hookup: everything its steps put a hand on."""

from packet.figures import show_weight
from packet.hookup.rig import Rig
from packet.words import t


def load_list(rig: Rig) -> tuple[tuple[str, int], ...]:
    """(name, count), machine and cylinders first, then kit, then what people wear."""
    request = rig.request
    items: list[tuple[str, int]] = [(t("recovery machine {id}", id=request.machine), 1)]
    items += [(t("cylinder {id}", id=cylinder.id), 1) for cylinder in request.cylinders]
    items.append((t("scale {id}", id=request.scale), 1))
    if request.check_weight_lb is not None:
        items.append((t("check weight {weight}", weight=show_weight(request.check_weight_lb, request.units)), 1))
    items += sorted(rig.kit.counts.items())
    if any(cylinder.float_switch for cylinder in request.cylinders):
        items.append((t("float-switch cable"), 1))
    items += [
        (t("face shield"), 2),
        (t("lined gloves, pair"), 2),
        (t("clamp-on thermometer"), 1),
        (t("leak-check solution"), 1),
        (t("tags and caps"), len(request.cylinders)),
    ]
    if request.locks_out or request.isolated:
        items.append((t("lock and tag"), 1))
    if not request.pierced:
        items.append((t("solenoid magnet"), 1))
    if request.burnout:
        items += [(t("acid-proof gloves, pair"), 2), (t("acid test kit"), 1), (t("marked oil can"), 1)]
    if request.flammable:
        items += [(t("bonding cable"), 3), (t("left-hand cylinder fitting"), 1)]
    if request.permit_space or request.space == "basement":
        items.append((t("oxygen monitor"), 1))
    if request.space == "rooftop" or request.roof_edge or request.ladder:
        items.append((t("ladder ties, hoist line, harness"), 1))
    return tuple(items)
