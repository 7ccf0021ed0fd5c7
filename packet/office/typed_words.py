"""What people write in words is kept to the last sign: `valve #3 dented` is a remark, not a remark and a comment."""

import json
import re

from packet.ledger.fields import FIELDS, STATEMENT_FIELDS, key_parts

_WORDS = {key_parts(item.key)[-1] for item in (*FIELDS, *STATEMENT_FIELDS) if item.quantity == "text"} | {"correction"}
_LINE = re.compile(r"(?P<head>\s*(?P<key>[A-Za-z0-9_-]+):\s)(?P<words>\s*[^\s#\"'|>&*!{\[].*)")
# the form's own comments stand behind two spaces
_COMMENT = re.compile(r"\s{2,}# .*$")
_BLOCK = re.compile(r"\S")


def words_kept(text: str) -> str:
    """A form's text with the words of its text fields and reasons in quotes where a `#` would cut them short."""
    lines, in_reasons = [], False
    for line in text.split("\n"):
        if _BLOCK.match(line) and not line.startswith("#"):
            in_reasons = line.startswith("reasons:")
        lines.append(_kept(line, in_reasons=in_reasons and line.startswith(" ")))
    return "\n".join(lines)


def _kept(line: str, *, in_reasons: bool) -> str:
    match = _LINE.fullmatch(line.rstrip("\r"))
    if match is None or not (in_reasons or match["key"] in _WORDS) or " #" not in line:
        return line
    words = _COMMENT.sub("", match["words"]).strip()
    return match["head"] + json.dumps(words, ensure_ascii=False)
