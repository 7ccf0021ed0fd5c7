"""What a shell offers when somebody presses Tab: commands, options, and the ids of the shop's own jobs, trucks, people, machines, cylinders.

The shell asks argcomplete, which asks us; nothing of this runs otherwise.
"""

import argparse
from collections.abc import Callable, Iterable
from typing import Any

import argcomplete

from packet.cli.where import shop_here
from packet.shop.load import load_registers
from packet.shop.places import SHOP_FILE, day_folders, job_files
from packet.shop.records import Cylinder, Machine, Registers, Scale, Technician, Truck


def complete(parser: argparse.ArgumentParser) -> None:
    """Answer the shell, and leave, where it is the shell that asks."""
    _offer(parser)
    argcomplete.autocomplete(parser)


def _offer(parser: argparse.ArgumentParser) -> None:
    offers = {
        "paths": days_and_jobs,
        "job": jobs,
        "like": jobs,
        "day": days,
        "truck": trucks,
        "technician": technicians,
        "second": technicians,
        "machine": machines,
        "scale": scales,
        "cylinder": cylinders,
        "cylinders": cylinders,
        "loads": cylinders,
        "into": cylinders,
    }
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for one in action.choices.values():
                _offer(one)
        elif action.dest in offers and not action.choices:
            action.completer = offers[action.dest]  # type: ignore[attr-defined]


def days(**_: Any) -> Iterable[str]:
    """The shop's days."""
    shop = shop_here()
    return [folder.name for folder in day_folders(shop)] if (shop / SHOP_FILE).is_file() else []


def jobs(**_: Any) -> Iterable[str]:
    """The shop's jobs."""
    shop = shop_here()
    if not (shop / SHOP_FILE).is_file():
        return []
    return [path.stem for folder in day_folders(shop) for path in job_files(folder)]


def days_and_jobs(**_: Any) -> Iterable[str]:
    """What a PATH may be."""
    return [*days(), *jobs(), "today", "tomorrow"]


def trucks(**_: Any) -> Iterable[str]:
    """The shop's trucks."""
    return _ids(lambda registers: registers.shop.trucks)


def technicians(**_: Any) -> Iterable[str]:
    """The shop's technicians."""
    return _ids(lambda registers: registers.technicians)


def machines(**_: Any) -> Iterable[str]:
    """The shop's recovery machines."""
    return _ids(lambda registers: registers.equipment.machines)


def scales(**_: Any) -> Iterable[str]:
    """The shop's scales."""
    return _ids(lambda registers: registers.equipment.scales)


def cylinders(**_: Any) -> Iterable[str]:
    """The shop's cylinders."""
    return _ids(lambda registers: registers.cylinders)


def _ids(of: Callable[[Registers], Iterable[Truck | Technician | Machine | Scale | Cylinder]]) -> list[str]:
    registers = load_registers(shop_here()).value
    return [item.id for item in of(registers)] if registers else []
