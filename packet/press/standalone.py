"""A packet's HTML as a file of its own: what our addresses stand for goes in, so that any program can set it."""

import base64
import re

from packet.press.assets import asset

_ADDRESS = re.compile(r"asset:([\w.-]+)(?:\?\w+)?")


def standing_alone(html: str) -> str:
    """`html` with every `asset:` address replaced by the asset itself, as a data: address."""

    def inside(match: re.Match[str]) -> str:
        return "data:application/octet-stream;base64," + base64.b64encode(asset(match[1])).decode("ascii")

    return _ADDRESS.sub(inside, html)
