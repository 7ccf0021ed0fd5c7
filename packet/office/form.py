"""The empty readings form that lies beside a packet: what the Record sheet asks, in its order, ready to type into."""

import json
import re
from itertools import pairwise

from packet.hookup.model import Hookup
from packet.ledger.fields import RecordBlank, key_parts
from packet.plan.model import Plan
from packet.sheets.blanks import blanks_of, numbers_of
from packet.words import t

# a word that no reader takes for a number, a date or a switch
_BARE = re.compile(r"(?!(?:true|false|yes|no|on|off|null|y|n)\b)[A-Za-z][A-Za-z0-9._-]*", re.IGNORECASE)


def empty_form(plan: Plan, hookup: Hookup, revision: str) -> str:
    """The YAML text of a job's empty form. revision: of the print it lies beside.

    Every blank stands under its number on the Record sheet; `hookup` tells which blanks the steps write.
    """
    job = plan.job
    blanks = blanks_of(plan, hookup)
    numbers = numbers_of(blanks)
    lines = [
        *_comment(
            t(
                "Readings of {job}. Type the Record sheet from top to bottom, then: packet file {job}.readings.yaml",
                job=job.job,
            )
        ),
        *_comment(t("Leave blank what is blank on the paper. Yes or no where a box is ticked or not.")),
        f"job: {scalar(job.job)}",
        f"revision: {scalar(revision)}",
    ]
    for before, blank in pairwise((None, *blanks)):
        if blank is None:
            continue
        if before is None or before.group != blank.group:
            lines += ["", *_comment(blank.group)]
        lines += _opened(before.key if before else "", blank.key)
        lines.append(_blank(blank, numbers[blank.key]))
    lines += [
        "",
        *_comment(t("For the office: when filing names a caution, the reason why the record stands all the same, as")),
        *_comment(t("  code: the reason in words")),
        "reasons:",
        *_comment(t("To put an earlier record of this job right, say why:")),
        "correction:",
    ]
    return "\n".join(lines) + "\n"


def _comment(text: str) -> list[str]:
    return [f"# {line}" for line in text.split("\n")]


def _opened(before: str, key: str) -> list[str]:
    """The block keys that have to stand before `key`, after a line with the key `before`."""
    old, new = key_parts(before)[:-1], key_parts(key)[:-1]
    same = next(
        (index for index, pair in enumerate(zip(old, new, strict=False)) if pair[0] != pair[1]), min(len(old), len(new))
    )
    return [f"{'  ' * depth}{scalar(part)}:" for depth, part in enumerate(new) if depth >= same]


def _blank(blank: RecordBlank, number: int) -> str:
    parts = key_parts(blank.key)
    words = t("{number} {label}", number=number, label=blank.label)
    if blank.unit:
        words = t("{label}, {unit}", label=words, unit=blank.unit)
    told = ", ".join(blank.field.choices) or (t(blank.field.help) if blank.field.help else "")
    if told:
        words = t("{label}: {help}", label=words, help=told)
    return f"{'  ' * (len(parts) - 1)}{parts[-1]}:  # {words}"


def scalar(text: str) -> str:
    """A word as YAML has it, in quotes where it could be taken for anything else."""
    return text if _BARE.fullmatch(text) else json.dumps(text, ensure_ascii=False)
