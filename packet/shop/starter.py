"""What `packet new` writes: a commented job to fill in, made from the record class and the shop's own registers.

What only a person knows is left blank, so that nothing invented can reach paper: `packet check` names each blank line.
"""

import os
import re
from collections.abc import Mapping
from datetime import date
from itertools import islice
from pathlib import Path
from typing import Any

from pydantic_core import PydanticCustomError

from packet.shop.fields import day, identifier
from packet.shop.load import load_registers
from packet.shop.places import find_shop, is_there
from packet.shop.problems import Loaded, WrongPathError
from packet.shop.records import Job, Record, Registers
from packet.shop.schemas import write_schemas
from packet.shop.shape import Key, bare, choices, keys
from packet.shop.whole import write_whole
from packet.words import t

_COMMENT_AT = 32
_SCHEMA = re.compile(r"^# yaml-language-server: \$schema=(\S+)shop\.json", re.MULTILINE)


def new_job(path: Path) -> Loaded[Path]:
    """Write a starter job at `path` (shop/2026-11-28/HP-1060, with or without .yaml); value is the file written.

    Problems are those of the registers, without which the job cannot be offered its choices. Raises WrongPathError
    when the path is not a job's place in a shop or the file exists already; OSError when the machine fails.
    """
    file = path if path.suffix == ".yaml" else path.with_name(f"{path.name}.yaml")
    folder = file.absolute().parent
    try:
        identifier(file.stem)
        when: date = day(folder.name)
    except PydanticCustomError as refused:
        raise WrongPathError(
            t("'{path}' is not a job's place: shop/2026-11-26/HP-1041. {why}", path=path, why=refused.message())
        ) from None
    shop_folder = find_shop(next(place for place in file.parents if is_there(place)))
    if folder.parent != shop_folder.absolute():
        raise WrongPathError(t("'{path}' is not in a day's folder of the shop '{shop}'.", path=path, shop=shop_folder))
    if is_there(file):
        raise WrongPathError(t("'{path}' exists already; nothing was written.", path=file))
    registers = load_registers(shop_folder)
    if registers.value is None:
        return Loaded(None, registers.problems)
    write_whole(file, starter_job(file.stem, when, registers.value, _schema_folder(shop_folder)).encode())
    return Loaded(file)


def starter_job(job: str, when: date, registers: Registers | None, schemas: str = "") -> str:
    """The starter's text. schemas: where the schemas lie, seen from the day's folder, ending in a slash.

    registers: whose ids are offered; None where there are none yet.
    """
    given = {"job": job, "date": when.isoformat(), "start": "08:00"}
    offered = (
        {}
        if registers is None
        else {
            "truck": [item.id for item in registers.shop.trucks],
            "technician": [item.id for item in registers.technicians],
            "supervisor": [item.id for item in registers.technicians],
            "machine": [item.id for item in registers.equipment.machines],
            "scale": [item.id for item in registers.equipment.scales],
            "cylinders": [item.id for item in registers.cylinders],
        }
    )
    lines = [f"# yaml-language-server: $schema={schemas}job.json"] if schemas else []
    lines += [
        "# " + t("Fill in what is blank. Optional lines may stay blank or be taken out."),
        "# " + t("A quantity may be given in the other unit under its own key: charge_lb or charge_kg, not both."),
        "",
    ]
    lines += _block(Job, 0, given, offered, si=registers is not None and registers.shop.units == "SI")
    return "\n".join(lines) + "\n"


def _block(record: type[Record], depth: int, given: Mapping[str, str], offered: Mapping[str, Any], *, si: bool) -> Any:
    pad = "  " * depth
    for key in keys(record).values():
        name = key.si_name if si and key.si_name else key.name
        if key.record is not None:
            yield f"{pad}{name}:"
            yield from _block(key.record, depth + 1, given, offered, si=si)
            continue
        head = f"{pad}{name}: {given.get(key.name) or _default(key)}".rstrip()
        yield f"{head.ljust(_COMMENT_AT - 1)} # {_comment(key, offered)}"


def _default(key: Key) -> str:
    """A default that is safe to show as typed; blank where a person must say, or may."""
    if isinstance(key.default, bool):
        return "yes" if key.default else "no"
    if isinstance(key.default, tuple) and key.default:
        return f"[{', '.join(str(item) for item in key.default)}]"
    return key.default if isinstance(key.default, str) and choices(key.annotation) else ""


def _comment(key: Key, offered: Mapping[str, Any]) -> str:
    words: tuple[str, ...] = choices(key.annotation)
    if key.is_list and not words:
        words = choices(bare(key.annotation.__args__[0])[0])
    known = offered.get(key.name, ())
    if known:
        words = (*islice(known, 8), *(["…"] if len(known) > 8 else []))
    told = t(key.description).rstrip(".")
    if words:
        told = f"{told}: {' | '.join(words)}"
    return told if key.required else t("{told} (optional)", told=told)


def _schema_folder(shop_folder: Path) -> str:
    """Where editors find the schemas, seen from a day's folder: where shop.yaml says, else written beside it."""
    said = _SCHEMA.search((shop_folder / "shop.yaml").read_text(encoding="utf-8-sig"))
    if said is not None:
        return said[1] if "://" in said[1] or os.path.isabs(said[1]) else f"../{said[1]}"  # noqa: PTH117 - a reference, not a file
    write_schemas(shop_folder / ".schemas")
    return "../.schemas/"
