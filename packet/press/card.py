"""The field card as a PDF in the output folder, and whether one that lies there still says what it should."""

from pathlib import Path

from markupsafe import Markup

from packet.press.assets import FAMILY, environment, face_rules
from packet.press.html import page_numbering
from packet.press.pdf import plain_pdf
from packet.press.run import state as run_state
from packet.press.run.state import Remembered
from packet.sheets.card import FieldCard
from packet.shop.whole import write_whole

CARD = "field-card"
REMEMBERED = f"{CARD}-printed"  # no packet of a job: those are remembered under their own names


def card_html(card: FieldCard) -> str:
    """The card as one HTML text."""
    return (
        environment()
        .get_template("card.html")
        .render(
            card=card,
            faces=Markup(face_rules()),
            family=Markup(FAMILY),
            numbering=Markup(" ").join(page_numbering()),
        )
    )


def print_card(card: FieldCard, out: Path) -> Path:
    """Set the card as `{out}/field-card.pdf`. Raises MissingLibrary, NotSetError, OSError."""
    path = out / f"{CARD}.pdf"
    write_whole(path, plain_pdf(card_html(card)))
    run_state.write_job(out, REMEMBERED, Remembered("", card.revision, run_state.of_file(path), ""))
    return path


def lying_card(out: Path) -> str:
    """The revision of the card that lies in `out`; '' where none does, or one that is not ours."""
    known = run_state.read_job(out, REMEMBERED)
    path = out / f"{CARD}.pdf"
    return known.revision if known is not None and path.is_file() and known.pdf == run_state.of_file(path) else ""
