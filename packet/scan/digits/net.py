"""What a written sign is: small networks of our own training (tests/bench/train_digits.py), run with numpy alone."""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt

from packet.scan.digits.shape import Dark

WEIGHTS = Path(__file__).parent / "weights.npz"
NONE = 10
# Networks of different beginnings: whoever is sure and right says the same as the others.
NETS = 3
# After which of the five layers that look at neighborhoods only every second row and column is kept.
HALVED_AFTER = (0, 2, 4)
Layer = npt.NDArray[np.float32]  # n x rows x columns x channels
Weights = list[npt.NDArray[np.float32]]


@dataclass(frozen=True, slots=True)
class Guess:
    """The likeliest digit ('' when it is likelier none), and how sure: its likelihood."""

    digit: str
    sureness: float


def guesses(signs: list[Dark]) -> list[Guess]:
    """What each sign (28 x 28, from `shape.normalized`) is."""
    if not signs:
        return []
    found = []
    for each in likelihoods(np.stack(signs)):
        best = int(each.argmax())
        found.append(Guess("" if best == NONE else str(best), float(each[best])))
    return found


def likelihoods(signs: npt.NDArray[np.float32]) -> npt.NDArray[np.float32]:
    """n x 11: how likely it is that each sign (n x 28 x 28) is each digit, or none: the mean of the networks'."""
    shares = [_shares(signs, weights, biases) for weights, biases in _weights()]
    return np.asarray(np.mean(shares, axis=0), np.float32)


def _shares(signs: npt.NDArray[np.float32], weights: Weights, biases: Weights) -> npt.NDArray[np.float32]:
    """One network's likelihoods, n x 11."""
    layer: Layer = signs[..., None].astype(np.float32)
    for number, (weight, bias) in enumerate(zip(weights[:5], biases[:5], strict=True)):
        layer = _convolved(layer, weight)
        if number in HALVED_AFTER:
            layer = _halved(layer)
        layer = np.maximum(layer + bias, 0)
    hidden = np.maximum(layer.reshape(len(layer), -1) @ weights[5] + biases[5], 0)
    scores = hidden @ weights[6] + biases[6]
    powers = np.exp(scores - scores.max(axis=1, keepdims=True))
    return np.asarray(powers / powers.sum(axis=1, keepdims=True), np.float32)


@cache
def _weights() -> list[tuple[Weights, Weights]]:
    """Each network's weights and biases, laid out as they are multiplied."""
    nets = []
    with np.load(WEIGHTS) as kept:
        for which in range(NETS):
            given = [np.asarray(kept[f"{which}w{number}"], np.float32) for number in range(7)]
            biases = [np.asarray(kept[f"{which}b{number}"], np.float32) for number in range(7)]
            weights = [np.ascontiguousarray(weight.transpose(2, 3, 1, 0)) for weight in given[:5]]
            # rows, columns, channels, where the training has channels, rows, columns
            channels = given[4].shape[0]
            flat = given[5].reshape(len(given[5]), channels, 3, 3).transpose(2, 3, 1, 0).reshape(-1, len(given[5]))
            nets.append(([*weights, np.ascontiguousarray(flat), np.ascontiguousarray(given[6].T)], biases))
    return nets


def _convolved(layer: Layer, weight: npt.NDArray[np.float32]) -> Layer:
    """weight: rows x columns x channels x channels made."""
    side, _, given, made = weight.shape
    padded = np.pad(layer, ((0, 0), (side // 2, side // 2), (side // 2, side // 2), (0, 0)))
    views = np.lib.stride_tricks.sliding_window_view(padded, (side, side), axis=(1, 2)).transpose(0, 1, 2, 4, 5, 3)
    product = views.reshape(-1, side * side * given) @ weight.reshape(-1, made)
    return np.asarray(product.reshape(*layer.shape[:3], made), np.float32)


def _halved(layer: Layer) -> Layer:
    count, rows, columns, channels = layer.shape
    even = layer[:, : rows // 2 * 2, : columns // 2 * 2]
    return np.asarray(even.reshape(count, rows // 2, 2, columns // 2, 2, channels).max(axis=(2, 4)), np.float32)
