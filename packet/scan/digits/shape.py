"""A written sign as the recognizer sees it: its ink alone, of one size, in the middle of a small square."""

import cv2
import numpy as np
import numpy.typing as npt

Dark = npt.NDArray[np.float32]  # 0 is paper, 1 is black

# As the data set has them that it was trained on: 20 pixels along the longer side, the middle of the ink in the middle.
SIDE = 28
LONGER = 20


def normalized(dark: Dark, least: float = 0.25) -> Dark | None:
    """The sign on a patch as SIDE x SIDE, from 0 to 1; None where there is no ink darker than `least`."""
    ink = dark > least
    if not ink.any():
        return None
    rows, columns = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
    top, bottom, left, right = int(rows[0]), int(rows[-1]) + 1, int(columns[0]), int(columns[-1]) + 1
    sign = np.where(cv2.dilate(ink.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0, dark, 0)[top:bottom, left:right]
    scale = LONGER / max(sign.shape)
    size = (max(1, round(sign.shape[1] * scale)), max(1, round(sign.shape[0] * scale)))
    method = cv2.INTER_AREA if scale < 1 else cv2.INTER_LINEAR
    small = np.asarray(cv2.resize(sign.astype(np.float32), size, interpolation=method), np.float32)
    small /= max(float(np.percentile(small[small > 0.05], 90)) if (small > 0.05).any() else 1.0, 1e-3)
    small = np.clip(small, 0, 1)
    ys, xs = np.mgrid[0 : size[1], 0 : size[0]]
    weight = float(small.sum())
    at_x = round(SIDE / 2 - float((xs * small).sum()) / weight - 0.5)
    at_y = round(SIDE / 2 - float((ys * small).sum()) / weight - 0.5)
    at_x, at_y = min(max(at_x, 0), SIDE - size[0]), min(max(at_y, 0), SIDE - size[1])
    out = np.zeros((SIDE, SIDE), np.float32)
    out[at_y : at_y + size[1], at_x : at_x + size[0]] = small
    return out
