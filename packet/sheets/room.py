"""How much room words take when they are set, near enough to choose an order or a place; the press sets them as they come."""

from collections.abc import Sequence

from packet.figures import unbroken

# how wide signs are, in ems of the typeface; the rest is as wide as most letters, and bold a little wider
WIDTHS = {
    ",.:;'": 0.2, "l|": 0.24, "ij !\u00a0": 0.28, '()f[]t"': 0.31, "r-/": 0.36, "1Iyvxzsk": 0.45,
    "02345689": 0.6, "ABEFKLPRSTVXYZ": 0.61, "CDGHNOQUw": 0.69, "mMW%": 0.85,
}  # fmt: skip
EM = {sign: wide for signs, wide in WIDTHS.items() for sign in signs}
OTHER_EM, BOLD = 0.55, 1.07
# an em of 1 rem
EM_MM = 3.53
# what a tick of the load has for its words, three side by side
TICK_MM = 53.0


def wide_mm(words: str) -> float:
    """How wide words are in a row of their own, in type of 1 rem."""
    return EM_MM * sum(EM.get(sign, OTHER_EM) for sign in words)


def rows(words: str, wide_mm: float, *, bold: bool = False, size: float = 1.0) -> int:
    """In how many rows words are set that may be so wide; size: of the type, in rem."""
    room = wide_mm / (EM_MM * size * (BOLD if bold else 1.0))
    count, left = 1, room
    for word in unbroken(words).split(" "):
        wide = sum(EM.get(sign, OTHER_EM) for sign in word)
        if wide > left and left < room:
            count, left = count + 1, room
        left -= wide + EM[" "]
    return count


def rows_together(kit: Sequence[float]) -> tuple[float, ...]:
    """Rows of the load as blocks: the first three stay together, and the last two."""
    if len(kit) < 5:
        return (sum(kit),) if kit else ()
    return (sum(kit[:3]), *kit[3:-2], sum(kit[-2:]))
