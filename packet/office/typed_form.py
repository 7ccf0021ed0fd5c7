"""Typing a readings form: from the text of its file to values, with everything that cannot be what it says."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from packet.figures import PA_PER_MMHG
from packet.findings import KINDS
from packet.ledger import mass
from packet.ledger.fields import FIELDS, STATEMENT_FIELDS, Field, Quantity, key_parts
from packet.office.readings import Gauge, Reading, Readings, Value, Weight
from packet.shop import fields as typed
from packet.shop.problems import Problem, did_you_mean, nearest, quoted
from packet.shop.text import Map, Node, Text
from packet.units import PA_PER_BAR, PA_PER_INHG, PA_PER_PSI
from packet.words import t

# What a gauge reading may be typed in, beside what the form asks for: (key's ending, unit, Pa in one, absolute).
GAUGES: tuple[tuple[str, str, float, bool], ...] = (
    ("_inHg_vacuum", "inHg vacuum", -PA_PER_INHG, False),
    ("_kPa_vacuum", "kPa vacuum", -1000.0, False),
    ("_psig", "psig", PA_PER_PSI, False),
    ("_barg", "barg", PA_PER_BAR, False),
    ("_mmHg_absolute", "mmHg absolute", PA_PER_MMHG, True),
    ("_kPa_absolute", "kPa absolute", 1000.0, True),
    ("_psia", "psia", PA_PER_PSI, True),
)
_ENDINGS: Mapping[Quantity, tuple[str, ...]] = {
    "weight": ("_lb", "_kg"),
    "vacuum": tuple(item[0] for item in GAUGES),
    "absolute": tuple(item[0] for item in GAUGES),
    "pressure": ("_psig", "_barg"),
    "temperature": ("_F", "_C"),
    "minutes": ("_minutes",),
}
HEAD_KEYS = ("job", "revision", "correction", "reasons", "filled_in_from", "confirmed_by")


@dataclass
class _Typing:
    file: str
    problems: list[Problem] = field(default_factory=list)
    values: dict[str, Reading] = field(default_factory=dict)
    lines: dict[str, int] = field(default_factory=dict)

    def tell(self, line: int, key: str, message: str, suggestion: str = "") -> None:
        self.problems.append(Problem(self.file, line, key, message, suggestion))


def read_readings(node: Node, file: str) -> tuple[Readings, tuple[Problem, ...]]:
    """The form in a file's nodes, and everything in it that cannot be what it says. file: its name in the problems."""
    typing = _Typing(file)
    leaves: dict[str, Text] = {}
    if isinstance(node, Map):
        _flatten(node, "", leaves, typing)
    else:
        typing.tell(node.line, "", t("A block of 'key: value' lines is expected here."), t("Start with 'job:'."))
    cylinders = _cylinders(node)
    known = _known(cylinders)
    for key, leaf in leaves.items():
        if key in HEAD_KEYS or key.startswith("reasons."):
            continue
        if key not in known:
            typing.tell(leaf.line, key, t("'{key}' is not a key here.", key=quoted(key)), did_you_mean(key, known))
            continue
        typing.lines.setdefault(known[key][0], leaf.line)
        if not leaf.blank:
            _take(key, leaf, known[key], typing)
    reasons = {key.removeprefix("reasons."): leaf for key, leaf in leaves.items() if key.startswith("reasons.")}
    _check_reasons(leaves.get("reasons"), reasons, typing)
    readings = Readings(
        file,
        _head(leaves, "job", typing, required=True),
        _head(leaves, "revision", typing, required=True),
        cylinders,
        typing.values,
        typing.lines,
        {code: leaf.value.strip() for code, leaf in reasons.items() if leaf.value.strip()},
        _head(leaves, "correction", typing, required=False),
        _head(leaves, "filled_in_from", typing, required=False),
        _head(leaves, "confirmed_by", typing, required=False),
    )
    return readings, tuple(typing.problems)


def _head(leaves: Mapping[str, Text], key: str, typing: _Typing, *, required: bool) -> str:
    leaf = leaves.get(key)
    if leaf is None or not leaf.value.strip():
        if required and not typing.problems:
            typing.tell(
                typing.lines.get(key, 1), key, t("'{key}' is missing.", key=key), t("It stands in the form's head.")
            )
        return ""
    return leaf.value.strip()


def _check_reasons(loose: Text | None, reasons: Mapping[str, Text], typing: _Typing) -> None:
    """A reason that belongs to no caution would be lost: it is refused instead."""
    if loose is not None and not loose.blank:
        typing.tell(loose.line, "reasons", t("A block of 'code: reason' lines is expected here."))
    codes = [code for code, kind in KINDS.items() if kind.severity != "stop"]
    for code, leaf in reasons.items():
        if code not in codes:
            message = t("'{code}' is not the code of a caution.", code=quoted(code))
            typing.tell(leaf.line, f"reasons.{code}", message, did_you_mean(code, codes))


def _flatten(node: Map, path: str, leaves: dict[str, Text], typing: _Typing) -> None:
    for entry in node.entries:
        key = f"{path}{entry.key}"
        typing.lines[key] = entry.line
        if isinstance(entry.node, Map):
            _flatten(entry.node, f"{key}.", leaves, typing)
        elif isinstance(entry.node, Text):
            leaves[key] = entry.node
        else:
            typing.tell(entry.line, key, t("One value is expected here, not a list."))


def _cylinders(node: Node) -> tuple[str, ...]:
    blocks = [entry.node for entry in node.entries if entry.key == "cylinders"] if isinstance(node, Map) else []
    return tuple(item.key for block in blocks if isinstance(block, Map) for item in block.entries)


def _known(cylinders: tuple[str, ...]) -> dict[str, tuple[str, Field, str]]:
    """Every key that may be typed: (the table's key with the cylinder put in, the field, the unit's ending)."""
    known: dict[str, tuple[str, Field, str]] = {}
    for item in (*FIELDS, *STATEMENT_FIELDS):
        names = [item.key.replace("{cylinder}", one) for one in cylinders] if item.per_cylinder else [item.key]
        for name in names:
            for ending in _ENDINGS.get(item.quantity, ("",)):
                known.setdefault(name + ending, (name, item, ending))
    # a block left empty is no mistake
    for blank in ("reasons", *(key_parts(item.key)[0] for item in (*FIELDS, *STATEMENT_FIELDS) if "." in item.key)):
        known.setdefault(blank, (blank, _EMPTY, ""))
    for one in cylinders:
        known.setdefault(f"cylinders.{one}", (f"cylinders.{one}", _EMPTY, ""))
    return known


_EMPTY = Field("", "", "text", "")


def _take(key: str, leaf: Text, meaning: tuple[str, Field, str], typing: _Typing) -> None:
    name, item, ending = meaning
    if item is _EMPTY:
        typing.tell(leaf.line, key, t("A block of 'key: value' lines is expected here."))
        return
    if name in typing.values:
        other = typing.values[name]
        typing.tell(
            leaf.line,
            key,
            t("Given in both units: '{other}' is on line {line}.", other=other.key, line=other.line),
            t("Keep one of them."),
        )
        return
    try:
        value = _choice(leaf.value, item.choices) if item.choices else _READ[item.quantity](leaf.value, ending)
    except ValueError as refused:
        sentence, suggestion = _sentence(refused, leaf.value)
        typing.tell(leaf.line, key, sentence, suggestion)
        return
    typing.values[name] = Reading(key, leaf.line, value)


def _sentence(refused: ValueError, value: str) -> tuple[str, str]:
    context: dict[str, Any] = getattr(refused, "context", None) or {}
    if "sentence" in context:
        return str(context["sentence"]), str(context["suggestion"])
    return t("'{value}' is not a number.", value=quoted(value)), ""


_DECIMAL = re.compile(r"[-+]?\d{1,7}(\.\d{1,6})?", re.ASCII)


def _decimal(value: str) -> Decimal:
    typed.number(value)  # refuses with a sentence what is no number at all
    if _DECIMAL.fullmatch(value.strip()) is None:
        raise typed.refuse(t("'{value}' is not a reading of an instrument.", value=quoted(value)))
    return Decimal(value.strip())


def _weight(value: str, ending: str) -> Weight:
    number = _decimal(value)
    if not 0 <= number <= 50_000:
        raise typed.refuse(t("{value} is no weight a scale can show.", value=quoted(value)))
    unit: mass.MassUnit = "kg" if ending == "_kg" else "lb"
    return Weight(value.strip(), unit, mass.kg_from(value.strip(), unit))


def _gauge(value: str, ending: str) -> Gauge:
    number = float(_decimal(value))
    _, unit, pa, absolute = next(item for item in GAUGES if item[0] == ending)
    reading = Gauge(f"{value.strip()} {unit}", number * pa, absolute)
    if (absolute and number < 0) or reading.pa < -110_000:
        raise typed.refuse(t("{value} is below a perfect vacuum.", value=reading.text))
    return reading


def _yes_no(value: str, _: str) -> bool:
    if value.strip().casefold() in {"x", "✓", "✔"}:
        return True
    return bool(typed.yes_no(value))


def _choice(value: str, choices: tuple[str, ...]) -> str:
    word = "-".join(value.split()).casefold()
    if word not in choices:
        known = ", ".join(choices)
        # the known ones stand in the sentence already
        suggestion = did_you_mean(word, choices) if nearest(word, choices) else ""
        raise typed.refuse(t("'{value}' is not one of: {known}.", value=quoted(value), known=known), suggestion)
    return word


def _count(value: str, _: str) -> Decimal:
    number = _decimal(value)
    if number < 0:
        raise typed.refuse(t("{value} is below 0.", value=quoted(value)))
    return number


_READ: Mapping[Quantity, Callable[[str, str], Value]] = {
    "text": lambda value, _: typed.text(value),
    "gas": lambda value, _: typed.designation(value),
    "initials": lambda value, _: typed.text(value),
    "choice": lambda value, _: typed.text(value),
    "date": lambda value, _: typed.day(value),
    "time": lambda value, _: typed.clock(value),
    "weight": _weight,
    "vacuum": _gauge,
    "absolute": _gauge,
    "pressure": lambda value, _: _decimal(value),
    "temperature": lambda value, _: _decimal(value),
    "minutes": _count,
    "count": _count,
    "yes-no": _yes_no,
}
