"""Small grey pictures of sheets: made, kept as PNG, and laid over each other with a tolerance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pypdfium2
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

Picture = NDArray[np.uint8]
"""Rows of pixels, 0 black to 255 white."""

DPI = 60
"""At 45, two lines of small type look alike when one is set 2 mm lower."""
STEP = 17
"""Between the sixteen greys that are kept."""
SOFT_PX = 0.8
NEAR_PX = 3
"""Ink, a little softened, may stand a pixel (0.42 mm) from where it stood."""
SPOT_PX = 8
"""A lone pixel is noise, a spot of them (3.4 mm each way) is a change."""
MM_PER_PX = 25.4 / DPI


@dataclass(frozen=True, slots=True)
class Spot:
    """Where two pictures differ most: by how many greys of 255 on average over a spot, how far from left and top."""

    greys: float
    left_mm: float
    top_mm: float


def pictures_of(pdf: bytes, shift_px: float = 0) -> list[Picture]:
    """Return each sheet of a PDF, drawn `shift_px` further left and lower."""
    sheets = []
    for page in pypdfium2.PdfDocument(pdf):
        if shift_px:
            page.set_mediabox(*(edge + shift_px * 72 / DPI for edge in page.get_mediabox()))
        drawn = page.render(scale=DPI / 72, grayscale=True).to_numpy()
        greys = np.round(drawn.reshape(drawn.shape[:2]) / STEP) * STEP
        sheets.append(greys.astype(np.uint8))
    return sheets


def keep(picture: Picture, path: Path) -> None:
    """Write a picture as a PNG of sixteen greys."""
    image = Image.fromarray(picture // STEP).convert("P")
    image.putpalette([grey for grey in range(0, 256, STEP) for _part in "rgb"])
    image.save(path, bits=4, optimize=True)


def kept(path: Path) -> Picture:
    """Read a picture that was kept."""
    with Image.open(path) as image:
        return np.asarray(image.convert("L"))


def most_apart(one: Picture, other: Picture) -> Spot:
    """Return where two pictures of one size differ most."""
    if np.array_equal(one, other):
        return Spot(0.0, 0.0, 0.0)
    spots = ndimage.uniform_filter(_apart(one, other), SPOT_PX, mode="constant")
    row, column = np.unravel_index(int(np.argmax(spots)), spots.shape)
    return Spot(float(spots[row, column]), float(column) * MM_PER_PX, float(row) * MM_PER_PX)


def _apart(one: Picture, other: Picture) -> NDArray[np.float32]:
    """How far each pixel is from all it lies near to in the other picture, whichever of the two is asked."""
    soft = [ndimage.gaussian_filter(picture.astype(np.float32), SOFT_PX) for picture in (one, other)]
    return np.maximum(_beyond(*soft), _beyond(*reversed(soft)))


def _beyond(one: NDArray[np.float32], other: NDArray[np.float32]) -> NDArray[np.float32]:
    darkest, lightest = ndimage.minimum_filter(other, NEAR_PX), ndimage.maximum_filter(other, NEAR_PX)
    return np.maximum(np.maximum(darkest - one, one - lightest), 0)


def side_by_side(pictures: Sequence[Picture], path: Path) -> None:
    """Write what was, what is and where they differ (black) beside each other."""
    was, now = pictures
    differs = 255 - np.minimum(_apart(was, now) * 4, 255).astype(np.uint8)
    Image.fromarray(np.hstack([was, now, differs])).save(path)
