"""A lower bound on the area of an annulus about the axis that a wax covers, wherever it stands.

The foot of a wax is within reach of the cone, so a good part of the wax lies there. Each wax is grown by half
the gap between waxes; grown waxes do not overlap. For any weighting of the area about the axis, what
they cover adds up to at most the whole. Waxes whose bounds add up to more share no flask.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from casting.calc.values.arrays import Floats

Discs = tuple[tuple[float, float], ...]

COARSE_MM = 0.1
"""Sides are rounded down to whole steps of this, the precision of a calliper, so that like waxes share a bound."""

FINE_MM2 = 2.0
"""The bound is at most this far below the least cover [mm2]."""

FEET, TURNS, HALVINGS = 8, 6, 7
"""Branch and bound: first cells of foot and turn, and the most halvings."""


def discs_about(reach_mm: float) -> Discs:
    """Return the weighted annulus about the axis, as discs that add and subtract.

    Parameters
    ----------
    reach_mm : float
        How far from the axis feet may stand [mm].

    Returns
    -------
    Discs
        Each as (radius [mm], weight): a ring from under half the reach to just beyond it, and the middle.
        Their sum is nowhere below 0.

    Notes
    -----
    Any ring does for a proof. Of 54 this one refuted most of the sets left open on the invented days: a
    wax near the wall covers the ring, and of those that do not, one only can cover the middle.
    """
    return (1.05 * reach_mm, 1.0), (0.45 * reach_mm, -1.0), (0.2 * reach_mm, 1.0)


def annulus_area(discs: Discs) -> float:
    """Return the weighted area of the annulus.

    Parameters
    ----------
    discs : Discs
        The weighted annulus.

    Returns
    -------
    float
        Area, each part as often as it counts [mm2].
    """
    return math.pi * sum(weight * radius_mm**2 for radius_mm, weight in discs)


def least_cover(sides_mm: tuple[float, float], grow_mm: float, usable_mm: float, foot_mm: float, discs: Discs) -> float:
    """Return a lower bound on the weighted area that a wax covers, wherever it stands and however it is turned.

    Parameters
    ----------
    sides_mm : (float, float)
        Long and short side [mm].
    grow_mm : float
        Half the gap that it keeps from other waxes [mm].
    usable_mm : float
        Radius that its corners stay within [mm].
    foot_mm : float
        The largest distance of its foot from the axis [mm].
    discs : Discs
        The weighted annulus.

    Returns
    -------
    float
        Never above the least cover [mm2].

    Notes
    -----
    A wax with shorter sides stands wherever the longer one stands and covers no more there, so sides
    may be rounded down.
    """
    long_mm, short_mm = (math.floor(side / COARSE_MM + 1e-9) * COARSE_MM for side in sides_mm)
    return _least(long_mm / 2, short_mm / 2, grow_mm, usable_mm, foot_mm, discs)


@lru_cache(maxsize=20_000)
def _least(long_mm: float, short_mm: float, grow_mm: float, usable_mm: float, foot_mm: float, discs: Discs) -> float:
    """The bound for half sides, by halving cells of (nearest foot, farthest foot, turn, half its span).

    At one turn, the farther out the foot, the less of any disc is covered: both are convex and alike
    about their middles (Anderson 1955). So in a cell the discs that add count least at its farthest foot,
    those that take away most at its nearest. A turn by up to d from the cell's middle moves a corner by
    at most d x half the diagonal, which is granted to the wall, and changes any cover by at most
    d x `_sweep` x the heaviest weight.
    """
    outline = _grown(long_mm, short_mm, grow_mm)
    plus = np.array([max(weight, 0.0) for _, weight in discs])
    minus = np.array([min(weight, 0.0) for _, weight in discs])
    radii = np.array([radius_mm for radius_mm, _ in discs])
    slip = _sweep(outline) * _heaviest(discs)
    span, step = math.pi / 4 / TURNS, foot_mm / FEET
    turn, near = (grid.ravel() for grid in np.meshgrid(span * (2 * np.arange(TURNS) + 1), step * np.arange(FEET)))
    best, settled = math.inf, math.inf
    for _ in range(HALVINGS):
        most = _farthest(long_mm, short_mm, turn, usable_mm + span * math.hypot(long_mm, short_mm))
        stands = near <= most
        turn, near, most = turn[stands], near[stands], most[stands]
        ends = np.concatenate([near, np.minimum(near + step, most)])
        there, far = np.split(in_discs(_set_out(outline, np.tile(turn, 2), ends), radii), 2)
        held = near <= _farthest(long_mm, short_mm, turn, usable_mm)
        best = min(best, float((there @ (plus + minus))[held].min(initial=math.inf)))
        bound = far @ plus + there @ minus - slip * span
        open_ = bound < best - FINE_MM2
        settled = min(settled, float(bound[~open_].min(initial=math.inf)))
        turn, near, bound = turn[open_], near[open_], bound[open_]
        if not len(turn):
            return max(0.0, settled)
        last = float(bound.min())
        span, step = span / 2, step / 2
        turn = np.concatenate([turn - span, turn + span] * 2)
        near = np.concatenate([near, near, near + step, near + step])
    return max(0.0, min(settled, last))


def _heaviest(discs: Discs) -> float:
    """The largest weight at any point."""
    return max(sum(weight for radius_mm, weight in discs if radius_mm >= inner_mm - 1e-9) for inner_mm, _ in discs)


def _grown(long_mm: float, short_mm: float, grow_mm: float) -> Floats:
    """A grown rectangle with each round corner cut to three points: inside the grown wax, and as symmetric."""
    ways = np.arange(3) * math.pi / 4
    corner = grow_mm * np.stack([np.cos(ways), np.sin(ways)], axis=1)
    spots = []
    for quarter, (x, y) in enumerate(((1, 1), (-1, 1), (-1, -1), (1, -1))):
        cos, sin = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarter]
        turned = corner @ np.array([[cos, sin], [-sin, cos]])
        spots.append(turned + np.array([x * long_mm, y * short_mm]))
    return np.concatenate(spots)


def _sweep(outline: Floats) -> float:
    """Area that the outline sweeps as it turns about its centre, for each radian [mm2]."""
    sides = np.roll(outline, -1, axis=0) - outline
    length = np.hypot(sides[:, 0], sides[:, 1])
    along = sides / np.maximum(length, 1e-12)[:, None]
    start = (outline * along).sum(axis=1)
    end = start + length
    either = [
        (np.maximum(sign * a, 0.0) ** 2 - np.maximum(sign * b, 0.0) ** 2).sum() / 2
        for sign, a, b in ((1, end, start), (-1, start, end))
    ]
    return float(max(either))


def _farthest(long_mm: float, short_mm: float, turn: Floats, usable_mm: float) -> Floats:
    """The largest x of the foot at each turn that keeps every corner within the usable radius."""
    cos, sin = np.cos(turn), np.sin(turn)
    most = np.full(turn.shape, math.inf)
    for x, y in ((long_mm, short_mm), (long_mm, -short_mm), (-long_mm, short_mm), (-long_mm, -short_mm)):
        across = x * sin + y * cos
        most = np.minimum(most, np.sqrt(np.maximum(usable_mm**2 - across**2, 0.0)) - (x * cos - y * sin))
    return most


def _set_out(outline: Floats, turn: Floats, foot: Floats) -> NDArray[np.complex128]:
    """The outline turned, its centre moved out along x, for each turn and foot."""
    spots = outline[:, 0] + 1j * outline[:, 1]
    out: NDArray[np.complex128] = spots * np.exp(1j * turn)[:, None] + foot[:, None]
    return out


def in_discs(outlines: NDArray[np.complex128], radii: Floats) -> Floats:
    """Return the area of outlines within discs about the axis.

    Parameters
    ----------
    outlines : array of complex
        Outline, corner: x + iy, anticlockwise [mm].
    radii : array of float
        Radii of the discs [mm].

    Returns
    -------
    array of float
        Outline, disc: area [mm2].

    Notes
    -----
    The sum over sides, seen from the axis: a triangle where a side is inside the disc, a sector where not.
    """
    start = outlines[:, :, None]
    side = np.roll(start, -1, axis=1) - start
    length_2 = np.maximum((side * side.conj()).real, 1e-18)
    middle = -(start.conj() * side).real / length_2
    under = middle**2 - ((start * start.conj()).real - radii**2) / length_2
    half = np.sqrt(np.maximum(under, 0.0))
    enter, leave = np.clip(middle - half, 0.0, 1.0), np.clip(middle + half, 0.0, 1.0)
    into, out_of = start + enter * side, start + leave * side
    sector = np.angle(into * start.conj()) + np.angle((start + side) * out_of.conj())
    areas: Floats = ((radii**2 * sector + (into.conj() * out_of).imag) / 2).sum(axis=1)
    return areas
