"""Print records of the time before they were documents: YAML, with a plan copied by hand. Read, never written."""

import re
from typing import Any

import yaml

from packet.document import Data, ShapeError
from packet.words import t

DEEPEST = 12
_WORDS = {"true": True, "false": False, "null": None}
_WHOLE = re.compile(r"-?[0-9]{1,18}")
_DECIMAL = re.compile(r"-?[0-9]{1,18}\.[0-9]{1,30}(e[-+][0-9]{2})?")


def data(content: bytes) -> Data:
    """The data of a print record as they would stand in today's file, its plan as far as it went. Raises ShapeError."""
    try:
        raw = _data(yaml.compose(content, getattr(yaml, "CSafeLoader", yaml.SafeLoader)), DEEPEST, set())
    except (yaml.YAMLError, ValueError, RecursionError) as error:
        raise ShapeError("", " ".join(str(error).split())) from None
    if not isinstance(raw, dict):
        raise ShapeError("", t("named values are expected"))
    pages = raw.get("pages")
    if not isinstance(pages, list) or not all(isinstance(item, dict) and "sheet" in item for item in pages):
        raise ShapeError("pages", t("a list is expected"))
    try:
        plan = document(raw["plan"]) if raw.get("plan") else {}
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise ShapeError("plan", f"{type(error).__name__} {error}") from None
    return raw | {"pages": [item["sheet"] for item in pages], "plan": plan}


def _data(node: Any, deepest: int, seen: set[int]) -> Data:
    """What stands at a node, typed as the records were written and no further.

    YAML's own types would do more than is safe: a tag makes any text a date, and 1:1:1 is a number that may have a hundred
    thousand parts. Every list and block stands in one place: an alias could make ten of one, and ten of each of these.
    """
    if isinstance(node, yaml.ScalarNode):
        return node.value if node.style else _plain(node.value)
    if not isinstance(node, yaml.CollectionNode):
        return None
    if id(node) in seen or deepest == 0:
        raise ShapeError("", t("it is nested too deep"))
    seen.add(id(node))
    if isinstance(node, yaml.SequenceNode):
        return [_data(item, deepest - 1, seen) for item in node.value]
    found = {}
    for key, value in node.value:
        if not isinstance(key, yaml.ScalarNode) or key.value in found:
            raise ShapeError("", t("a key stands twice") if isinstance(key, yaml.ScalarNode) else t("text is expected"))
        found[key.value] = _data(value, deepest - 1, seen)
    return found


def _plain(text: str) -> Data:
    if text in _WORDS:
        return _WORDS[text]
    if _WHOLE.fullmatch(text):
        return int(text)
    return float(text) if _DECIMAL.fullmatch(text) else text


def document(old: dict[str, Any]) -> dict[str, Any]:
    """What a plan copied by hand said, under the names of the plan's document, without what it did not keep."""
    evacuation, recovered, per_lb = old["evacuation"], old["to_recover_lb"], old.get("t_co2e_per_lb")
    stops, cautions = old.get("stops") or [], old.get("cautions") or []
    people = [{"id": old.get("technician_id") or "", "name": old["technician"], "card": old.get("card") or ""}]
    if old["supervisor"]:
        people.append({"id": "supervisor", "name": old["supervisor"], "card": ""})
    return {
        "refrigerant": old["refrigerant"],
        "mixed_or_unknown": old["mixed_or_unknown"],
        "may_go_out": not stops,
        "technician": people[0]["id"],
        "supervisor": "supervisor" if old["supervisor"] else None,
        "to_recover_lb": recovered,
        "t_co2e": per_lb * recovered if isinstance(per_lb, float) and isinstance(recovered, float | int) else None,
        "evacuation": dict(evacuation) if evacuation else None,
        "cylinders": [dict(item) for item in old["cylinders"]],
        "findings": [{"code": code, "severity": "stop"} for code in stops]
        + [{"code": code, "severity": "caution"} for code in cautions],
        "inputs": {
            "job": {
                "truck": old["truck"],
                "machine": old["machine"],
                "scale": old["scale"],
                "start": old.get("start") or "00:00",
                "site": {"name": old["site"]["name"], "address": old["site"]["address"]},
                "appliance": dict(old["appliance"]),
                "work": {"reason": old["reason"], "leaking": old["leaking"]},
            },
            "registers": {
                "equipment": {"scales": [{"id": old["scale"], "resolution_lb": old["scale_step_lb"] or 0.1}]},
                "technicians": people,
            },
        },
    }
