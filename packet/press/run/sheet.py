"""The run sheet as a PDF; left alone when it would read the same."""

from pathlib import Path

from markupsafe import Markup

from packet.collector import without_collecting
from packet.press.assets import FAMILY, environment, face_rules, fetcher, weasyprint
from packet.press.digest import digest
from packet.press.html import page_numbering
from packet.press.layout import font_configuration
from packet.press.pdf import VARIANT
from packet.press.run import state as run_state
from packet.press.run.state import Remembered
from packet.sheets.runsheet import RunSheet
from packet.shop.whole import write_whole


def run_sheet_html(sheet: RunSheet) -> str:
    """The run sheet as one HTML text."""
    return (
        environment()
        .get_template("runsheet.html")
        .render(
            sheet=sheet,
            faces=Markup(face_rules()),
            family=Markup(FAMILY),
            page_size={"letter": "letter", "A4": "A4"}[sheet.paper],
            numbering=Markup(" ").join(page_numbering()),
        )
    )


def print_run_sheet(sheet: RunSheet, out: Path, name: str, tools: str) -> Path:
    """Write `{name}-runsheet.pdf` and return its path. tools: see packet.press.digest. Raises MissingLibrary, OSError."""
    path = out / f"{name}-runsheet.pdf"
    html = run_sheet_html(sheet)
    known, reads = run_state.read_job(out, path.stem), digest((html,))
    if known is not None and known == Remembered(tools, reads, run_state.of_file(path), ""):
        return path
    with without_collecting():
        pdf = (
            weasyprint()
            .HTML(string=html, url_fetcher=fetcher())
            .write_pdf(font_config=font_configuration(), pdf_variant=VARIANT)
        )
    write_whole(path, pdf)
    run_state.write_job(out, path.stem, Remembered(tools, reads, run_state.of_file(path), ""))
    return path
