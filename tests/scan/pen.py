"""A hand with a pen: ticks, crosses, initials, notes and blots of varied weight, and what was meant by them."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from packet.press.printed import PrintedBox

Picture = npt.NDArray[np.uint8]
Points = npt.NDArray[np.float64]
# whether the box of that key is marked
Means = Callable[[str], bool]


@dataclass(frozen=True, slots=True)
class Pen:
    """width of the stroke; darkness from 0 (none) to 1 (black)."""

    width_mm: float
    darkness: float


def some_pen(rng: np.random.Generator) -> Pen:
    """A fine ballpoint, a pencil, a worn felt tip: 0.25 to 1.1 mm, faint gray to black."""
    return Pen(float(rng.uniform(0.25, 1.1)), float(rng.uniform(0.45, 1.0)))


def some_pencil(rng: np.random.Generator) -> Pen:
    """A pencil: gray and thin."""
    return Pen(float(rng.uniform(0.3, 0.6)), float(rng.uniform(0.25, 0.5)))


def draw(picture: Picture, points_mm: Points, pen: Pen, px_per_mm: float) -> None:
    """A stroke through points, on top of what is there (ink only darkens)."""
    sub = 4  # strokes are laid down to a quarter of a pixel
    low = np.floor((points_mm.min(0) - pen.width_mm) * px_per_mm).astype(int) - 1
    high = np.ceil((points_mm.max(0) + pen.width_mm) * px_per_mm).astype(int) + 2
    low = np.maximum(low, 0)
    high = np.minimum(high, picture.shape[1::-1])
    if (high <= low).any():
        return
    layer = np.zeros(((high[1] - low[1]) * sub, (high[0] - low[0]) * sub), np.uint8)
    at = np.round((points_mm * px_per_mm - low) * sub).astype(np.int32)
    cv2.polylines(layer, [at], False, 255, max(1, round(pen.width_mm * px_per_mm * sub)), cv2.LINE_8)
    small = np.asarray(cv2.resize(layer, (int(high[0] - low[0]), int(high[1] - low[1])), interpolation=cv2.INTER_AREA))
    view = picture[low[1] : high[1], low[0] : high[0]]
    view[:] = np.minimum(view, (255.0 - small * pen.darkness).astype(np.uint8))


def curve(points: Points, rng: np.random.Generator, wobble_mm: float) -> Points:
    """A smooth line through points with the hand's unsteadiness."""
    steps = np.linspace(0, len(points) - 1, 12 * len(points))
    smooth = np.column_stack([np.interp(steps, np.arange(len(points)), points[:, axis]) for axis in (0, 1)])
    drift = rng.normal(0, wobble_mm, smooth.shape)
    kernel = np.ones(5) / 5
    return smooth + np.column_stack([np.convolve(drift[:, axis], kernel, "same") for axis in (0, 1)])


def tick(box: PrintedBox, rng: np.random.Generator) -> list[Points]:
    """A check mark, a cross or a slash, about as large as the box, as a gloved hand makes it."""
    side = min(box.w_mm, box.h_mm)
    x, y = box.x_mm + box.w_mm / 2 + rng.normal(0, 0.07 * side), box.y_mm + box.h_mm / 2 + rng.normal(0, 0.07 * side)
    size = side * float(rng.uniform(0.75, 1.35))
    shape = rng.choice(["check", "check", "check", "cross", "slash"])
    if shape == "check":
        strokes = [np.array([(-0.4, -0.02), (-0.1, 0.34), (0.5, -0.5)])]
    elif shape == "cross":
        strokes = [np.array([(-0.4, -0.4), (0.4, 0.4)]), np.array([(0.4, -0.4), (-0.4, 0.4)])]
    else:
        strokes = [np.array([(-0.4, 0.42), (0.4, -0.42)])]
    return [curve(stroke * size + np.array([x, y]), rng, 0.12) for stroke in strokes]


def initials(box: PrintedBox, rng: np.random.Generator) -> list[Points]:
    """Two or three letters' worth of loops inside the box."""
    count = int(rng.integers(2, 4))
    height = box.h_mm * float(rng.uniform(0.45, 0.8))
    step = height * 0.75
    left = box.x_mm + (box.w_mm - step * count) / 2 + rng.normal(0, 0.6)
    middle = box.y_mm + box.h_mm / 2 + rng.normal(0, 0.3)
    strokes = []
    for letter in range(count):
        shape = rng.uniform(-0.5, 0.5, (5, 2)) * (0.8 * step, height)
        shape[0, 1], shape[2, 1] = -height / 2, height / 2
        strokes.append(curve(shape + np.array([left + (letter + 0.5) * step, middle]), rng, 0.15))
    return strokes


def fill_in(
    picture: Picture,
    boxes: Sequence[PrintedBox],
    rng: np.random.Generator,
    px_per_mm: float,
    *,
    share: float = 0.6,
    pen: Pen | None = None,
    means: Means | None = None,
) -> dict[str, bool]:
    """Mark about `share` of the boxes to tick or initial, or those whose key `means` says. What was meant, by key."""
    pen = pen or some_pen(rng)
    meant = {}
    for box in boxes:
        if box.kind not in {"check", "initial"}:
            continue
        meant[box.key] = bool(rng.random() < share) if means is None else means(box.key)
        if meant[box.key]:
            for stroke in tick(box, rng) if box.kind == "check" else initials(box, rng):
                draw(picture, stroke, pen, px_per_mm)
    return meant


def notes(picture: Picture, rng: np.random.Generator, px_per_mm: float, keep_off: Sequence[PrintedBox]) -> None:
    """Handwriting here and there over the printed text, at least 4 mm off the boxes; specks of dirt anywhere."""
    width_mm, height_mm = picture.shape[1] / px_per_mm, picture.shape[0] / px_per_mm
    pen = some_pen(rng)
    for _ in range(int(rng.integers(0, 5))):
        w, h = float(rng.uniform(20, 60)), float(rng.uniform(4, 9))
        x, y = float(rng.uniform(10, width_mm - w - 10)), float(rng.uniform(20, height_mm - 60))
        if any(
            x < box.x_mm + box.w_mm + 4
            and box.x_mm < x + w + 4
            and y - 4 < box.y_mm + box.h_mm
            and box.y_mm < y + h + 4
            for box in keep_off
        ):
            continue
        xs = np.linspace(x, x + w, int(w / 1.5))
        draw(picture, np.column_stack([xs, y + h * rng.random(len(xs))]), pen, px_per_mm)
    for _ in range(int(rng.integers(0, 25))):
        at = np.array([[rng.uniform(0, width_mm), rng.uniform(0, height_mm)]])
        draw(picture, np.vstack([at, at + 0.05]), Pen(float(rng.uniform(0.1, 0.35)), 0.8), px_per_mm)
