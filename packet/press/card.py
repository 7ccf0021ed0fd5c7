"""The field card as a PDF in the output folder, and whether one that lies there still says what it should."""

from pathlib import Path

from markupsafe import Markup

from packet.press.assets import FAMILY, environment, face_rules
from packet.press.html import page_numbering
from packet.press.pdf import plain_pdf
from packet.press.run import state as run_state
from packet.press.run.state import Remembered
from packet.sheets.card import FieldCard
from packet.shop.records import Shop
from packet.shop.whole import write_whole
from packet.words import speaking

CARD = "field-card"


def card_name(language: str, shop: Shop) -> str:
    """A card's name in the output folder: 'field-card' in the shop's language, 'field-card.es' in another one."""
    return CARD if language == shop.language else f"{CARD}.{language}"


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


def print_card(card: FieldCard, shop: Shop, out: Path) -> Path:
    """Set the card in `out`. Its path. Raises MissingLibrary, NotSetError, OSError."""
    name = card_name(card.language, shop)
    path = out / f"{name}.pdf"
    with speaking(card.language):
        write_whole(path, plain_pdf(card_html(card)))
    run_state.write_job(out, _remembered(name), Remembered("", card.revision, run_state.of_file(path), ""))
    return path


def lying_card(out: Path, name: str) -> str:
    """The revision of the card of that name that lies in `out`; '' where none does, or one that is not ours."""
    known, path = run_state.read_job(out, _remembered(name)), out / f"{name}.pdf"
    return known.revision if known is not None and path.is_file() and known.pdf == run_state.of_file(path) else ""


def _remembered(name: str) -> str:
    # no packet of a job: those are remembered under their own names
    return f"{name}-printed"
