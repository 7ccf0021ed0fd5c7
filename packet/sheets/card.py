"""The field card: "when it goes wrong" for any job of a shop, kept laminated in each truck instead of in every packet.

What depends on a job stays on its packet: the two strips, its pressures and weights, where it is. The card's revision is
that of its words alone, so that a new style voids no card in the field; a changed phone number or row does.
"""

from dataclasses import dataclass, replace
from typing import Literal

from packet.document import revision_letters
from packet.hookup.wrong import Phase, on_any_job
from packet.sheets.hazards import first_aid
from packet.sheets.model import Entry
from packet.shop.records import Registers, Shop, Technician
from packet.words import N_, speaking, spoken, t

PHASES: tuple[tuple[Phase, str], ...] = (
    ("evacuating", N_("Hoses and evacuating")),
    ("running", N_("While it runs")),
    ("ending", N_("At the end")),
)


@dataclass(frozen=True, slots=True)
class CardPart:
    """Rows under a heading: what is seen, and what to do."""

    title: str
    rows: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class FieldCard:
    """The whole card: one leaf. revision: eight letters of its words; what a packet names."""

    language: str
    paper: Literal["letter", "A4"]
    revision: str
    title: str
    company: str
    opening: str
    phones_title: str
    phones: tuple[Entry, ...]
    first_aid: CardPart
    parts: tuple[CardPart, ...]
    deferral: str


def field_card(shop: Shop) -> FieldCard:
    """The shop's card in the current language."""
    card = FieldCard(
        language=spoken(),
        paper=shop.paper,
        revision="",
        title=t("When it goes wrong"),
        company=shop.company,
        opening=t(
            "Alarm, smell, fire, somebody down: OUT. Machine trips, power fails: strip 2 at the foot of the steps. Everything else is here. What changes with the job (pressures, weights, the address) stands on its front."
        ),
        phones_title=t("Call, and say where you are: the address is on the front"),
        phones=(
            Entry(t("Fire, ambulance"), "911"),
            Entry(t("Shop, emergencies"), shop.emergency_phone),
            Entry(t("Dispatch"), shop.phone),
            Entry(t("On site"), t("on the front")),
        ),
        first_aid=CardPart(t("First aid"), tuple(Entry(what, do) for what, do in first_aid())),
        parts=tuple(
            CardPart(t(title), tuple(Entry(item.sign, item.action) for item in on_any_job(phase)))
            for phase, title in PHASES
        ),
        deferral=t(
            "Makers' instructions, safety data sheet, local codes and the licensed technician's judgment come first."
        ),
    )
    return replace(card, revision=revision_letters(repr(replace(card, paper="letter"))))


def card_in(shop: Shop, language: str) -> FieldCard:
    """The shop's card in a language."""
    with speaking(language):
        return field_card(shop)


def languages_read(registers: Registers) -> tuple[str, ...]:
    """The languages in which this shop's people read, its own first: those a card is printed in."""
    people: tuple[Shop | Technician, ...] = (registers.shop, *registers.technicians)
    found = [language for item in people for language in (item.language, *item.languages) if language]
    return tuple(dict.fromkeys(found))


def named_card(shop: Shop) -> str:
    """The revision of the card, in the current language, that the shop's packets name; '' where they carry the sheet themselves."""
    return field_card(shop).revision if shop.policy.field_card == "truck" else ""
