"""Values published outside the project, each with its source: `published()['fill_limit']` and so on."""

from pathlib import Path
from typing import Any

import yaml


def published() -> dict[str, Any]:
    """The whole file."""
    found: dict[str, Any] = yaml.safe_load((Path(__file__).parent / "published.yaml").read_text(encoding="utf-8"))
    return found
