"""A shop from nothing: the four registers, commented, with what is needed left blank, and a first day with a first job.

Made from the record classes, so that what is asked for here is what the loader asks for. Nothing invented stands in
them: `packet check` names every blank.
"""

import base64
import secrets
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from packet.shop.places import CYLINDERS_FILE, MACHINES_FILE, REGISTER_FILES, SHOP_FILE, TECHNICIANS_FILE
from packet.shop.problems import WrongPathError
from packet.shop.records import Cylinder, Equipment, Kit, Record, Shop, Technician
from packet.shop.schemas import write_schemas
from packet.shop.shape import Key, bare, choices, keys
from packet.shop.starter import starter_job
from packet.shop.whole import write_whole
from packet.words import t

FIRST_JOB = "J-001"
_COMMENT_AT = 36
# of the kit, what every job needs; the rest stands there as comments
_KIT_FIRST = ("hoses", "manifolds")


def begin_shop(folder: Path, today: date) -> tuple[Path, ...]:
    """Write a shop into `folder`; the files written. today: the first day.

    Raises WrongPathError when the folder holds one of them already (nothing is written then), OSError.
    """
    there = [name for name in REGISTER_FILES if (folder / name).exists()]
    if there:
        raise WrongPathError(t("'{folder}' holds {file} already; nothing was written.", folder=folder, file=there[0]))
    texts = {
        folder / SHOP_FILE: shop_text(new_secret()),
        folder / CYLINDERS_FILE: _listed("cylinders", t("The register of recovery cylinders, a block each."), Cylinder),
        folder / MACHINES_FILE: machines_text(),
        folder / TECHNICIANS_FILE: _listed("technicians", t("The technicians, a block each."), Technician),
        folder / today.isoformat() / f"{FIRST_JOB}.yaml": starter_job(FIRST_JOB, today, None, "../.schemas/"),
    }
    write_schemas(folder / ".schemas")
    for path, text in texts.items():
        write_whole(path, text.encode())
    return tuple(texts)


def _head(kind: str, title: str) -> list[str]:
    return [
        f"# yaml-language-server: $schema=.schemas/{kind}.json",
        f"# {title}",
        "# " + t("Fill in what is blank. A line with a # in front is optional: take the # away to use it."),
        "# " + t("A quantity may be given in the other unit under its own key: tare_lb or tare_kg, not both."),
        "",
    ]


def new_secret() -> str:
    """160 bits that nobody can guess, in base32."""
    return base64.b32encode(secrets.token_bytes(20)).decode()


def shop_text(secret: str) -> str:
    """shop.yaml with blanks. secret: the shop's own, for its record pages' addresses."""
    lines = _head("shop", t("The shop: company, paper, policy, trucks."))
    for key in keys(Shop).values():
        if key.name == "trucks":
            lines += ["", "trucks:", *_item(key.record, "  ")]
        elif key.record is not None:
            lines += ["", f"# {key.name}:".ljust(_COMMENT_AT - 1) + f" # {_said(key)}"]
            lines += [f"# {line}" for line in _lines(key.record, "  ", start="- " if key.is_list else "")]
        elif key.name == "records_secret":
            lines.append(f"{key.name}: {secret} # {_said(key)}")
        else:
            lines += _line(key, "")
    return "\n".join(lines) + "\n"


def machines_text() -> str:
    """machines.yaml with blanks: one machine, one scale, one make-up of hoses, one manifold."""
    lines = _head("machines", t("Recovery machines, scales and kit."))
    for key in keys(Equipment).values():
        if key.record is Kit:
            lines += ["", "kit:"]
            for part in keys(Kit).values():
                if part.record is None:
                    lines += _line(part, "  ")
                elif part.name in _KIT_FIRST:
                    lines += [f"  {part.name}:", *_item(part.record, "    ")]
                else:
                    lines.append(f"  # {part.name}:".ljust(_COMMENT_AT - 1) + f" # {_said(part)}")
                    lines += [f"  # {line}" for line in _lines(part.record, "  ", start="- ")]
        elif key.record is not None:
            lines += ["", f"{key.name}:", *_item(key.record, "  ")]
    return "\n".join(lines) + "\n"


def _listed(kind: str, title: str, record: type[Record]) -> str:
    return "\n".join([*_head(kind, title), *_item(record, "")]) + "\n"


def _item(record: type[Record] | None, pad: str) -> Iterator[str]:
    """One block of a list: required keys blank, optional ones as comments."""
    assert record is not None
    first = True
    for key in keys(record).values():
        if key.record is not None:
            yield f"{pad}  # {key.name}:".ljust(_COMMENT_AT - 1) + f" # {_said(key)}"
            yield from (f"{pad}  # {line}" for line in _lines(key.record, "  "))
            continue
        start = f"{pad}- " if first else f"{pad}  "
        yield from _line(key, start)
        first = False


def _lines(record: type[Record], pad: str, *, start: str = "") -> Iterator[str]:
    """A block inside a comment: plain keys with their defaults."""
    lead = start
    for key in keys(record).values():
        if key.record is None:
            yield f"{pad}{lead}{key.name}: {_default(key)}".rstrip().ljust(_COMMENT_AT - 3) + f" # {_said(key)}"
            lead = "  " if start else ""


def _line(key: Key, start: str) -> Iterator[str]:
    if key.required:
        yield f"{start}{key.name}:".ljust(_COMMENT_AT - 1) + f" # {_said(key)}"
    else:
        yield f"{start}# {key.name}: {_default(key)}".rstrip().ljust(_COMMENT_AT - 1) + f" # {_said(key)}"


def _default(key: Key) -> str:
    if isinstance(key.default, bool):
        return "yes" if key.default else "no"
    if isinstance(key.default, tuple):
        return f"[{', '.join(str(item) for item in key.default)}]" if key.default else ""
    if isinstance(key.default, float):
        return f"{key.default:g}"
    return str(key.default) if isinstance(key.default, int | str) else ""


def _said(key: Key) -> str:
    words = choices(key.annotation)
    if key.is_list and not words and key.record is None:
        words = choices(bare(key.annotation.__args__[0])[0])
    told = t(key.description).rstrip(".")
    return f"{told}: {' | '.join(words)}" if words else told
