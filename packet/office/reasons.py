"""What counts as a reason: it is read years later by somebody who was not there."""

from packet.shop.problems import quoted
from packet.words import t

# common practice, no source
LEAST_LETTERS = 4


def too_thin(reason: str) -> tuple[str, str] | None:
    """Sentence and suggestion where a reason says nothing: a letter or a dot is none. None for one that will do."""
    if sum(letter.isalpha() for letter in reason) >= LEAST_LETTERS:
        return None
    return (
        t("'{reason}' is no reason that an inspector could follow.", reason=quoted(reason)),
        t("Say in a few words what happened, and who looked at it."),
    )
