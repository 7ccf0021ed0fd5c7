"""Text from outside, fit to be shown on a terminal: what cannot be seen becomes visible, what is endless is cut.

A name, a path or a value may hold an escape sequence that a terminal obeys, bytes that are no text at all, or a megabyte.
"""

import re

MOST_OF_A_WORD = 300  # longer than any path that people type
MOST_OF_A_LINE = 3_000

# control signs but tab and line end, what reverses the order of letters or has no width, halves of signs
_UNSEEN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ud800-\udfff]")
_LONG_WORD = re.compile(rf"\S{{{MOST_OF_A_WORD},}}")


def visible(text: str) -> str:
    """`text` with every sign that cannot be seen written out: '\\x1b', '\\u202e'."""
    return _UNSEEN.sub(lambda found: _written(ord(found[0])), text)


def short(text: str) -> str:
    """A message, `visible`, without endless words or lines in it."""
    lines = (_LONG_WORD.sub(lambda found: found[0][: MOST_OF_A_WORD - 1] + "…", line) for line in text.split("\n"))
    return visible(
        "\n".join(line if len(line) <= MOST_OF_A_LINE else line[: MOST_OF_A_LINE - 1] + "…" for line in lines)
    )


def in_json(text: str) -> str:
    """JSON text that means the same, with every sign that cannot be seen as JSON itself writes it."""
    return _UNSEEN.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def _written(code: int) -> str:
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}"
