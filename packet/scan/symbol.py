"""What every code of ours has in common, whatever it says: the fixed modules, and where its codewords stand.

ISO/IEC 18004 (from memory), versions 1 to 5 at level M, which is all that the press prints; blocks are the code
library's own table.
"""

from functools import cache

import numpy as np
import numpy.typing as npt
import qrcode.base
import qrcode.constants
import qrcode.util

Grid = npt.NDArray[np.int8]
Modules = npt.NDArray[np.bool_]

DATA, LIGHT, DARK = -1, 0, 1
SIZES = (21, 25, 29, 33, 37)  # versions 1 to 5
MASKS = range(8)
FINDER = 7


def version_of(size: int) -> int:
    """The version whose symbol is `size` modules wide."""
    return (size - 17) // 4


@cache
def fixed(size: int, mask: int | None) -> Grid:
    """size x size: DARK or LIGHT where a module does not depend on what the code says, DATA elsewhere.

    mask: the data mask whose format bits are filled in; None leaves them as DATA.
    """
    grid = np.full((size, size), DATA, np.int8)
    for top, left in ((0, 0), (0, size - FINDER), (size - FINDER, 0)):
        _ring(grid, top - 1, left - 1, FINDER + 2, LIGHT)
        _ring(grid, top, left, FINDER, DARK)
        _ring(grid, top + 1, left + 1, FINDER - 2, LIGHT)
        _ring(grid, top + 2, left + 2, FINDER - 4, DARK)
        grid[top + 3, left + 3] = DARK
    along = np.arange(8, size - 8)
    grid[6, along] = grid[along, 6] = np.where(along % 2 == 0, DARK, LIGHT)
    if size > SIZES[0]:
        _ring(grid, size - 9, size - 9, 5, DARK)
        _ring(grid, size - 8, size - 8, 3, LIGHT)
        grid[size - 7, size - 7] = DARK
    grid[size - 8, 8] = DARK
    if mask is not None:
        bits = qrcode.util.BCH_type_info(qrcode.constants.ERROR_CORRECT_M << 3 | mask)
        for number, (first, second) in enumerate(_format_places(size)):
            grid[first] = grid[second] = DARK if bits >> number & 1 else LIGHT
    grid.setflags(write=False)
    return grid


@cache
def codeword_places(size: int) -> tuple[npt.NDArray[np.intp], int, int]:
    """(codewords x 8 flat indexes of modules, number of blocks, data codewords a block); blocks take turns."""
    taken = fixed(size, 0) != DATA
    order = []
    upward = True
    for right in range(size - 1, 0, -2):
        column = right if right > 6 else right - 1  # the timing column is stepped over
        rows = range(size - 1, -1, -1) if upward else range(size)
        order += [row * size + x for row in rows for x in (column, column - 1) if not taken[row, x]]
        upward = not upward
    blocks = qrcode.base.rs_blocks(version_of(size), qrcode.constants.ERROR_CORRECT_M)
    count = sum(block.total_count for block in blocks)
    return np.array(order[: count * 8]).reshape(count, 8), len(blocks), blocks[0].data_count


def codewords(modules: Modules) -> npt.NDArray[np.uint8]:
    """The codewords of a symbol as they stand, its data mask still on them."""
    places, _, _ = codeword_places(len(modules))
    return np.packbits(modules.ravel()[places], axis=1).ravel()


def _format_places(size: int) -> list[tuple[tuple[int, int], tuple[int, int]]]:
    """(row, column) of both copies of each of the fifteen format bits, lowest bit first."""
    down = [(row, 8) for row in (*range(6), 7, 8)] + [(row, 8) for row in range(size - 7, size)]
    across = [(8, size - 1 - number) for number in range(8)] + [(8, column) for column in (7, *range(5, -1, -1))]
    return list(zip(down, across, strict=True))


def _ring(grid: Grid, top: int, left: int, side: int, value: int) -> None:
    """The outline of a square, as far as it lies on the grid."""
    size = len(grid)
    for step in range(side):
        for row, column in (
            (top, left + step),
            (top + side - 1, left + step),
            (top + step, left),
            (top + step, left + side - 1),
        ):
            if 0 <= row < size and 0 <= column < size:
                grid[row, column] = value
