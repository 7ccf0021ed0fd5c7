"""A number that can be checked by hand: its value, unit, rule, source and what went into it.

The same object prints the figure, feeds the JSON and answers `packet plan --why`.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from packet.units import plain
from packet.words import N_, P_, english, pt, said, t


@dataclass(frozen=True, slots=True)
class Worked:
    """One number with its working.

    value: the number, in `unit`. rule: the rule in a few words (a marked message). source: the citation, or
    "common practice, no source", or "from memory". formula: the arithmetic in words, with each input's name in
    braces: "0.80 × {volume} × {density}". inputs: the named inputs, each a Worked of its own, so that the working
    is a tree down to what was typed in. estimate_percent: the stated error when it rests on an estimate.
    """

    value: float
    unit: str
    rule: str
    source: str
    formula: str = ""
    inputs: tuple[tuple[str, "Worked"], ...] = ()
    places: int = 3
    estimate_percent: float | None = None

    def text(self) -> str:
        """The value with its unit, as the working prints it."""
        return f"{plain(self.value, self.places)} {self.unit}".rstrip()


def given(value: float, unit: str, where: str, places: int = 3) -> Worked:
    """A number that was typed in: `where` says in which file, line and field, or which policy."""
    return Worked(value, unit, N_("input"), where, places=places)


def lines(number: Worked, name: str, depth: int = 0) -> Iterator[str]:
    """The working of `number`, line by line, as a person would check it by hand: result first, then each input's.

    A formula is printed twice, with the names of its inputs and with their figures; the figures are printed with enough
    decimals for the arithmetic to give the result (a test does it).
    """
    pad = "  " * depth
    yield f"{pad}{name} = {number.text()}"
    if number.formula:
        formula = _in_words(number.formula)
        yield f"{pad}  = {formula.format(**{key: plain_name(key) for key, _ in number.inputs})}"
        yield f"{pad}  = {formula.format(**{key: part.text() for key, part in number.inputs})}"
    yield pad + "  " + t("rule: {rule}", rule=said(number.rule))
    yield pad + "  " + t("source: {source}", source=said(number.source))
    if number.estimate_percent is not None:
        yield pad + "  " + t("estimate ± {percent} %", percent=plain(number.estimate_percent, 1))
    for key, part in number.inputs:
        yield from lines(part, plain_name(key), depth + 1)


# What formulas say beside names and signs. Longer phrases first: one must not be found inside another.
WORDS = (
    P_("formula", "rounded down to steps of"),
    P_("formula", "rounded up to steps of"),
    P_("formula", "rounded to steps of"),
    P_("formula", "largest of"),
    P_("formula", "smallest of"),
)


def _in_words(formula: str) -> str:
    for words in WORDS:
        formula = formula.replace(english(words), t(words))
    return formula


def plain_name(key: str) -> str:
    """An input's name as the working prints it: 'fill density' for 'fill_density', in the current language."""
    return pt("quantity", key.replace("_", " "))
