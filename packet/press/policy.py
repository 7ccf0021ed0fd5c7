"""What a page that we write may do in a browser, said in the page itself (W3C Content Security Policy level 3).

Nothing is loaded and nothing runs but what stands in the page under its own digest: a name that somebody typed can
neither become a script nor fetch anything, even where it should slip through the escaping.
"""

import base64
from functools import lru_cache
from hashlib import sha256


@lru_cache(maxsize=16)
def content_policy(style: str, script: str = "", *, pictures: bool = False) -> str:
    """The policy of a page with one style and, at most, one script of ours. pictures: they stand in the page itself."""
    parts = ["default-src 'none'", f"style-src {_digest(style)}"]
    parts += [f"script-src {_digest(script)}"] if script else []
    parts += ["img-src data:"] if pictures else []
    return "; ".join([*parts, "base-uri 'none'", "form-action 'none'"])


def _digest(text: str) -> str:
    return f"'sha256-{base64.b64encode(sha256(text.encode()).digest()).decode()}'"
