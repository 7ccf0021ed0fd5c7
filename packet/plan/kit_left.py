"""What is left of a thing's make-ups while other jobs have some of them."""

from collections.abc import Iterable

from packet.plan.hoses import core_tool_ports
from packet.plan.model import Plan
from packet.shop.records import Fitting


def less(fittings: Iterable[Fitting], count: int, least_psig: float) -> tuple[Fitting, ...]:
    """The fittings less `count` of those that stand `least_psig`: the weakest of them go first, as the stronger ones
    serve every job.
    """
    if count == 0:
        return tuple(fittings)
    left = {item.id: item for item in fittings}
    for item in sorted(left.values(), key=lambda item: item.rating_psig):
        if count == 0:
            break
        if item.rating_psig >= least_psig:
            taken = min(count, item.count)
            left[item.id] = item.model_copy(update={"count": item.count - taken})
            count -= taken
    return tuple(left.values())


def tools_of(plan: Plan) -> int:
    """How many core tools a job takes along."""
    if plan.hoses is None:
        return 0
    kit = plan.registers.equipment.kit
    return len(core_tool_ports(plan.job.appliance.ports, kit, plan.hoses.least_psig))


def tools_left(tools: tuple[Fitting, ...], taken: Iterable[tuple[int, float]]) -> tuple[Fitting, ...]:
    """The core tools that are left while others have theirs. taken: how many each has, that stand how much, psig."""
    for count, least_psig in taken:
        tools = less(tools, count, least_psig)
    return tools
