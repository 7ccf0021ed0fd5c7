"""A page as a phone takes it: from aside, in uneven light, on a table, a little curled."""

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

Picture = npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Shot:
    """off: how far each corner stands off its place, as a share of the page's sides, at most; turned_deg as held."""

    off: float = 0.05
    turned_deg: float = 3.0
    high_px: int = 2600
    curl_mm: float = 1.0
    shadow: float = 0.3
    blur_px: float = 0.9
    noise: float = 3.0
    jpeg_quality: int = 80


def some_shot(rng: np.random.Generator) -> Shot:
    """An ordinary picture from the cab of a truck."""
    return Shot(
        turned_deg=float(rng.uniform(-6, 6)),
        high_px=int(rng.integers(2300, 3400)),
        curl_mm=float(rng.uniform(0, 1.5)),
        shadow=float(rng.uniform(0, 0.45)),
        blur_px=float(rng.uniform(0.5, 1.3)),
        noise=float(rng.uniform(1, 6)),
        jpeg_quality=int(rng.integers(60, 92)),
    )


def shoot(page: Picture, shot: Shot, rng: np.random.Generator, px_per_mm: float) -> Picture:
    """The picture (gray) of a page given at `px_per_mm`."""
    height, width = page.shape
    curled = _curled(page, shot.curl_mm * px_per_mm, rng)
    scale = shot.high_px * 0.86 / height
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)], np.float64)
    lying = (corners - (width / 2, height / 2)) * scale
    lying += rng.uniform(-shot.off, shot.off, (4, 2)) * np.array([width, height]) * scale
    turn = np.radians(shot.turned_deg)
    lying = lying @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    out = (round(np.ptp(lying[:, 0]) * 1.06), round(np.ptp(lying[:, 1]) * 1.06))
    lying += np.array(out) / 2 - (lying.max(0) + lying.min(0)) / 2
    matrix = cv2.getPerspectiveTransform(corners.astype(np.float32), lying.astype(np.float32))
    smooth = cv2.GaussianBlur(curled, (0, 0), max(0.4, 0.45 / scale))
    paper = float(rng.uniform(0.75, 0.97))
    flat = cv2.warpPerspective(smooth.astype(np.float32) * paper, matrix, out, flags=cv2.INTER_LINEAR, borderValue=-1)
    table = _table(out, rng)
    lit = np.where(flat < 0, table, flat) * _light(out, shot.shadow, rng)
    soft = np.asarray(cv2.GaussianBlur(lit.astype(np.float32), (0, 0), shot.blur_px))
    noisy = np.clip(soft + rng.normal(0, shot.noise, soft.shape), 0, 255).astype(np.uint8)
    _, data = cv2.imencode(".jpg", noisy, [cv2.IMWRITE_JPEG_QUALITY, shot.jpeg_quality])
    return np.asarray(cv2.imdecode(data, cv2.IMREAD_GRAYSCALE), np.uint8)


def _curled(page: Picture, by_px: float, rng: np.random.Generator) -> Picture:
    """The page's lines bowed by up to `by_px`, along one axis or the other, as paper that does not lie flat."""
    height, width = page.shape
    across, down = np.meshgrid(np.linspace(0, 1, width, dtype=np.float32), np.linspace(0, 1, height, dtype=np.float32))
    bow = by_px * np.sin(np.pi * (across if rng.random() < 0.5 else down)) * float(rng.choice([-1, 1]))
    along_y = rng.random() < 0.5
    xs = across * (width - 1) + (0 if along_y else bow)
    ys = down * (height - 1) + (bow if along_y else 0)
    return np.asarray(cv2.remap(page, xs.astype(np.float32), ys.astype(np.float32), cv2.INTER_LINEAR, borderValue=255))


def _table(size: tuple[int, int], rng: np.random.Generator) -> npt.NDArray[np.float32]:
    """What the page lies on: dark, with a grain."""
    grain = rng.normal(0, 1, (size[1] // 24 + 2, size[0] // 3 + 2)).astype(np.float32)
    wide = cv2.resize(grain, size, interpolation=cv2.INTER_CUBIC)
    return np.asarray(float(rng.uniform(40, 150)) + 10 * wide, np.float32)


def _light(size: tuple[int, int], shadow: float, rng: np.random.Generator) -> npt.NDArray[np.float32]:
    """Light that falls off to one side, and the shadow of the hand that holds the phone."""
    across, down = np.meshgrid(np.linspace(0, 1, size[0]), np.linspace(0, 1, size[1]))
    angle = float(rng.uniform(0, 2 * np.pi))
    slope = 1 - shadow * (0.5 + 0.5 * (np.cos(angle) * (2 * across - 1) + np.sin(angle) * (2 * down - 1)) / 1.5)
    hand = across * np.cos(angle + 2) + down * np.sin(angle + 2) - float(rng.uniform(0.2, 1.0))
    edge = 1 / (1 + np.exp(-hand * 40))
    return np.asarray(slope * (1 - 0.5 * shadow * edge), np.float32)
