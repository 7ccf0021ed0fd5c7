"""What a written sign is: two small networks of our own training (tests/bench/train_digits.py), run with numpy alone."""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt

from packet.scan.digits.shape import SIDE, Dark

WEIGHTS = Path(__file__).parent / "weights.npz"
NONE = 10
# Two networks of different beginnings: whoever is sure and right says the same as the other.
NETS = 2
# A sign is looked at as it is, turned a little both ways, and narrower and wider: whoever is sure says the same of all.
LOOKS = ((0.0, 1.0), (-7.0, 1.0), (7.0, 1.0), (0.0, 0.86), (0.0, 1.14))


@dataclass(frozen=True, slots=True)
class Guess:
    """The likeliest digit ('' when it is likelier none), and how sure: its likelihood, the mean of all looks at it."""

    digit: str
    sureness: float


def guesses(signs: list[Dark]) -> list[Guess]:
    """What each sign (28 x 28, from `shape.normalized`) is."""
    if not signs:
        return []
    looks = np.stack([_turned(sign, degrees, wide) for sign in signs for degrees, wide in LOOKS])
    likely = np.concatenate(likelihoods(looks).reshape(NETS, len(signs), len(LOOKS), -1), axis=1)
    found = []
    for each in likely:
        mean = each.mean(axis=0)
        best = int(mean.argmax())
        found.append(Guess("" if best == NONE else str(best), float(mean[best])))
    return found


def likelihoods(signs: npt.NDArray[np.float32]) -> npt.NDArray[np.float32]:
    """NETS x n x 11: how likely each network has it that each sign (n x 28 x 28) is each digit, or none."""
    return np.stack([_likelihoods(signs, which) for which in range(NETS)])


def _likelihoods(signs: npt.NDArray[np.float32], which: int) -> npt.NDArray[np.float32]:
    weights = _weights()
    layer = signs[:, None].astype(np.float32)
    for number in range(4):
        layer = np.maximum(_convolved(layer, weights[f"{which}w{number}"], weights[f"{which}b{number}"]), 0)
        if number != 1:
            layer = _halved(layer)
    flat = layer.reshape(len(layer), -1)
    hidden = np.maximum(flat @ weights[f"{which}w4"].T + weights[f"{which}b4"], 0)
    out = hidden @ weights[f"{which}w5"].T + weights[f"{which}b5"]
    powers = np.exp(out - out.max(axis=1, keepdims=True))
    return np.asarray(powers / powers.sum(axis=1, keepdims=True), np.float32)


@cache
def _weights() -> dict[str, npt.NDArray[np.float32]]:
    with np.load(WEIGHTS) as kept:
        return {name: np.asarray(kept[name], np.float32) for name in kept.files}


def _convolved(
    layer: npt.NDArray[np.float32], weight: npt.NDArray[np.float32], bias: npt.NDArray[np.float32]
) -> npt.NDArray[np.float32]:
    padded = np.pad(layer, ((0, 0), (0, 0), (1, 1), (1, 1)))
    views = np.lib.stride_tricks.sliding_window_view(padded, (3, 3), axis=(2, 3))
    made = np.tensordot(views, weight, axes=([1, 4, 5], [1, 2, 3]))
    return np.asarray(np.moveaxis(made, -1, 1) + bias[None, :, None, None], np.float32)


def _halved(layer: npt.NDArray[np.float32]) -> npt.NDArray[np.float32]:
    count, channels, rows, columns = layer.shape
    even = layer[:, :, : rows // 2 * 2, : columns // 2 * 2]
    return np.asarray(even.reshape(count, channels, rows // 2, 2, columns // 2, 2).max(axis=(3, 5)), np.float32)


def _turned(sign: Dark, degrees: float, wide: float) -> Dark:
    if not degrees and wide == 1.0:
        return sign
    middle = (SIDE - 1) / 2
    matrix = np.asarray(cv2.getRotationMatrix2D((middle, middle), degrees, 1.0), np.float64)
    matrix[:, 2] += matrix[:, 0] * middle * (1 - wide)
    matrix[:, 0] *= wide
    return np.asarray(cv2.warpAffine(sign, matrix, (SIDE, SIDE)), np.float32)
