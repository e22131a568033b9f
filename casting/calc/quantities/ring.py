"""Ring sizes: the inside of a ring from the scales of the trade, what to carve it to, and its outer measures."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

MM_PER_INCH = 25.4
US_FIRST_IN, US_STEP_IN = 0.458, 0.032
UK_FIRST_MM, UK_STEP_MM = 36.25, 1.25
ISO_LEAST, ISO_MOST = 41, 76
CARVING_PCT = 1.0
"""By how much of itself a casting comes out smaller than its wax (source: Artistry of Gold, "Mold shrinkage")."""


class RingScale(StrEnum):
    """The scales that a ring size is told in."""

    US = "us"
    UK = "uk"
    ISO = "iso"
    INCHES = "inches"


LEAST_MOST = {
    RingScale.US: (0.0, 16.0),
    RingScale.UK: (1.0, 28.0),
    RingScale.ISO: (float(ISO_LEAST), float(ISO_MOST)),
    RingScale.INCHES: (1.3, 3.5),
}
"""The sizes that there are, from and to; of letters, A is 1 and the steps after Z go on. ISO 8653: from 41 to 76."""


class NotARingSize(ValueError):
    """A number that is no ring size [on its scale]."""

    def __init__(self, size: float, scale: RingScale) -> None:
        self.size, self.scale = size, scale
        super().__init__(f"{size:g} is no size on the scale {scale}.")


def inside_mm(size: float, scale: RingScale) -> float:
    """Return the inside diameter of a ring.

    Parameters
    ----------
    size : float
        The size on its scale: US number; UK letter as a number, A being 1 and a half letter 0.5; ISO 8653, the inside
        circumference [mm]; inches, the inside circumference [in].
    scale : RingScale
        The scale.

    Returns
    -------
    float
        Inside diameter [mm].

    Raises
    ------
    NotARingSize
        If the scale has no such size.

    Notes
    -----
    US: d = 0.458 in + 0.032 in a size, a custom. UK: C = 36.25 + 1.25 n mm (R. Rowlett, How Many? A Dictionary of
    Units). ISO 8653: the size is the inside circumference in mm.

    Examples
    --------
    >>> round(inside_mm(7, RingScale.US), 4)
    17.3228
    """
    least, most = LEAST_MOST[scale]
    if not least <= size <= most:
        raise NotARingSize(size, scale)
    if scale is RingScale.US:
        return (US_FIRST_IN + US_STEP_IN * size) * MM_PER_INCH
    if scale is RingScale.UK:
        return (UK_FIRST_MM + UK_STEP_MM * size) / math.pi
    return size * (MM_PER_INCH if scale is RingScale.INCHES else 1.0) / math.pi


def us_size(diameter_mm: float) -> float:
    """Return the US size of an inside diameter.

    Parameters
    ----------
    diameter_mm : float
        Inside diameter [mm].

    Returns
    -------
    float
        US size, not rounded.

    Examples
    --------
    >>> round(us_size(15.7), 3)
    5.003
    """
    return (diameter_mm / MM_PER_INCH - US_FIRST_IN) / US_STEP_IN


def carved_mm(diameter_mm: float, shrinkage_pct: float = CARVING_PCT) -> float:
    """Return what to carve a diameter to, so that the casting has it: d / (1 - p). The weight is never corrected too.

    Parameters
    ----------
    diameter_mm : float
        Diameter of the casting [mm].
    shrinkage_pct : float, optional
        By how much of itself the casting comes out smaller [%].

    Returns
    -------
    float
        Diameter of the wax [mm].

    Examples
    --------
    >>> round(carved_mm(18.9484), 2)
    19.14
    """
    return diameter_mm / (1 - shrinkage_pct / 100)


def shrinkage_of(steps_pct: Iterable[float]) -> float:
    """Return the shrinkage of several steps, as of a mould and then the metal: one after the other, not their sum.

    Parameters
    ----------
    steps_pct : iterable of float
        Shrinkage of each step [%].

    Returns
    -------
    float
        Together [%].

    Examples
    --------
    >>> round(shrinkage_of([2.5, 1.0]), 3)
    3.475
    """
    return 100 * (1 - math.prod(1 - step / 100 for step in steps_pct))


@dataclass(frozen=True, slots=True)
class RingWax:
    """A ring of wax as it stands on its sprue, in mm: its inside as carved, then width, depth and height."""

    carved_mm: float
    width_mm: float
    depth_mm: float
    height_mm: float


def ring_wax(diameter_mm: float, band_mm: float, wall_mm: float, head_mm: float, sprue_mm: float) -> RingWax:
    """Return the outer measures of a ring that stands on its sprue, the head on top.

    Parameters
    ----------
    diameter_mm : float
        Inside diameter of the finished ring [mm].
    band_mm, wall_mm : float
        Width of the band along the finger, and its thickness [mm].
    head_mm : float
        Height of a head over the band; 0 for a plain band [mm].
    sprue_mm : float
        Length of the sprue below [mm].

    Returns
    -------
    RingWax
        Measures of the wax [mm].

    Examples
    --------
    >>> ring_wax(17.3228, 6, 2, 0, 9).depth_mm
    6
    """
    inside = carved_mm(diameter_mm)
    across = inside + 2 * wall_mm
    return RingWax(inside, across, band_mm, across + head_mm + sprue_mm)
