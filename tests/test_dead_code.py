"""No code that nothing uses: what only the tests ask for counts as unused too."""

import re
from collections.abc import Iterator
from pathlib import Path

from vulture import Vulture

ROOT = Path(__file__).parents[1]

# what is used where the checker does not look, and why it stands
USED = {
    "completer": "argcomplete reads it off an argument",
    "is_closed": "pikepdf writes it into a bookmark",
    # by the libraries that call it or read it
    "model_config": "pydantic reads it",
    "model_post_init": "pydantic calls it",
    "cls": "pydantic passes it",
    "_from_names": "pydantic calls it",
    "_whose_analysis": "pydantic calls it",
    "_room_for_the_suffix": "pydantic calls it",
    "_work_fits_the_appliance": "pydantic calls it",
    "load_bytecode": "Jinja calls it",
    "dump_bytecode": "Jinja calls it",
    "base_url": "WeasyPrint reads it",
    "url_fetcher": "WeasyPrint reads it",
    "media_type": "WeasyPrint reads it",
    "_ua_stylesheets": "WeasyPrint calls it",
    "initial_page_sizes": "WeasyPrint reads it",
    "text_bounding_box": "WeasyPrint reads it",
    "mask_pattern": "qrcode reads it",
    "Lang": "a key of a PDF",
    "MarkInfo": "a key of a PDF",
    "ViewerPreferences": "a key of a PDF",
    "P": "a key of a PDF",
    "ParentTreeNextKey": "a key of a PDF",
    "prec": "the decimal context reads it",
    "tempdir": "the standard library reads it",
    "_": "argparse calls it",
    "ngettext": "argparse calls it",
    "SupportsWrite": "named in a signature, in quotes",
    # by name
    "commands": "the README's test asks for every command",
    "_liquid_high": "looked up by its name",
    "_bubble_high": "looked up by its name",
    "SYMBOLS": "the message catalogue is made from it",
    "SAID": "the message catalogue is made from it",
    "COUNTED": "the message catalogue is made from it",
    # records that are walked as a whole, or kept for who reads the data
    "composition_source": "the source beside the number",
    "safety_group_source": "the source beside the number",
    "other_phase": "an element of a tuple",
    "recovered_by_scale_lb": "one of what a filed record may hold, checked as a whole",
    "in_service": "one of what makes two cylinders of a kind, compared as a whole",
    "both_valves": "one of what makes two cylinders of a kind, compared as a whole",
    "width_mm": "the size of a drawing, beside its height",
    "height_mm": "the size of a drawing, beside its width",
    "fit_mm": "how well a page lay, for who tunes the scan desk",
    "unticked_checks": "in the scan's report",
    # asked by the tests that prove others
    "same_as": "two states of a walk, for its mutants",
    "kelvin_from_fahrenheit": "both ways of a conversion stand together",
}
# each command of the command line is looked up by its name
BY_PREFIX = ("run_",)


def in_templates() -> set[str]:
    """Every word of the templates: fields of records are named there."""
    files = (path for kind in ("*.html", "*.svg") for path in (ROOT / "templates").rglob(kind))
    return {word for path in files for word in re.findall(r"\w+", path.read_text("utf-8"))}


def unused() -> Iterator[tuple[str, str]]:
    """(name, file and line) of what the package does not use itself."""
    checker = Vulture()
    checker.scavenge([str(ROOT / "packet")])
    templates = in_templates()
    for item in checker.get_unused_code(min_confidence=60):
        if item.name not in templates and not item.name.startswith(BY_PREFIX):
            yield item.name, f"{Path(item.filename).relative_to(ROOT)}:{item.first_lineno}"


def test_nothing_is_left_that_nobody_uses() -> None:
    assert {name: place for name, place in unused() if name not in USED} == {}
