"""What people write in words is kept to the last sign: `valve #3 dented` is a remark, not a remark and a comment."""

import json
import re

from packet.ledger.fields import FIELDS, STATEMENT_FIELDS, key_parts
from packet.words import t

_WORDS = {key_parts(item.key)[-1] for item in (*FIELDS, *STATEMENT_FIELDS) if item.quantity == "text"} | {"correction"}
_LINE = re.compile(r"(?P<head>\s*(?P<key>[A-Za-z0-9_-]+):\s)(?P<words>\s*[^\s#\"'|>&*!{\[].*)")
# the form's own comments stand behind two spaces; behind one where somebody typed between the two
_COMMENT = re.compile(r"\s{2,}# .*$")
_LABELS = {
    part: {item.label for item in (*FIELDS, *STATEMENT_FIELDS) if key_parts(item.key)[-1] == part} for part in _WORDS
}
# what YAML takes for a comment or for a key of its own within words
_CUTS = re.compile(r"\s#|:(?:\s|$)")
_BLOCK = re.compile(r"\S")


def words_kept(text: str) -> str:
    """A form's text with the words of its text fields and reasons in quotes where a `#` or a colon would cut them short."""
    lines, in_reasons = [], False
    for line in text.split("\n"):
        if _BLOCK.match(line) and not line.startswith("#"):
            in_reasons = line.startswith("reasons:")
        lines.append(_kept(line, in_reasons=in_reasons and line.startswith(" ")))
    return "\n".join(lines)


def _own_comment(key: str) -> re.Pattern[str]:
    """The comment that the form itself has behind a key: the blank's number and label, and what follows."""
    labels = {words for label in _LABELS.get(key, ()) for words in (label, t(label))}
    return re.compile(rf"\s+# \d+ (?:{'|'.join(map(re.escape, sorted(labels)))}).*$") if labels else _COMMENT


def _kept(line: str, *, in_reasons: bool) -> str:
    match = _LINE.fullmatch(line.rstrip("\r"))
    if match is None or not (in_reasons or match["key"] in _WORDS) or not _CUTS.search(match["words"]):
        return line
    words = _COMMENT.sub("", _own_comment(match["key"]).sub("", match["words"])).strip()
    return match["head"] + json.dumps(words, ensure_ascii=False)
