"""Packs circles into a rectangle, by corner placement, then by separation of random loads. Proves nothing."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import lru_cache

import numpy as np

from casting.calc.values.arrays import Floats
from casting.calc.values.tolerances import SPARE

TRIALS, ROUNDS = 24, ((30, 6), (60, 3), (200, 2))
"""Random loads that are separated where corner placement fails; steps of each round, and the loads kept after it.

Of 150 loads filling over 70 % of the floor that corner placement did not solve, this solved 7. Keeping all loads for
120 steps solved 1, in 1.7 times the time.
"""

Spot = tuple[float, float]
Spots = tuple[Spot, ...]


@lru_cache(maxsize=4_000)
def pack_circles(across_mm: tuple[float, ...], width_mm: float, depth_mm: float, hard: bool) -> Spots | None:
    """Return places for circles in a rectangle, or None if none were found.

    Parameters
    ----------
    across_mm : tuple of float
        Diameters, largest first [mm].
    width_mm, depth_mm : float
        The rectangle [mm].
    hard : bool
        Whether random loads are separated where corner placement fails.

    Returns
    -------
    tuple of (float, float) or None
        Centres from the left front corner, the load centred in the rectangle [mm]. None proves nothing.

    Examples
    --------
    >>> pack_circles((20.0, 20.0), 50.0, 30.0, False)
    ((15.0, 15.0), (35.0, 15.0))
    """
    if not across_mm:
        return ()
    circles_mm2 = sum(across**2 for across in across_mm) * math.pi / 4
    if across_mm[0] > min(width_mm, depth_mm) + 1e-9 or circles_mm2 > width_mm * depth_mm:
        return None
    found = next((spots for way in WAYS if (spots := _by_corners(across_mm, width_mm, depth_mm, way))), None)
    if found is None and hard:
        found = _pushed_apart(across_mm, width_mm, depth_mm)
    return _centred(found, across_mm, width_mm, depth_mm) if found else None


def pack_in_turn(across_mm: tuple[float, ...], width_mm: float, depth_mm: float) -> Spots | None:
    """Return places for circles in a rectangle, each as near the front as it goes after those before it.

    Parameters
    ----------
    across_mm : tuple of float
        Diameters, in the order they are placed [mm].
    width_mm, depth_mm : float
        The rectangle [mm].

    Returns
    -------
    tuple of (float, float) or None
        Centres from the left front corner, the load centred in the rectangle [mm]. None proves nothing.

    Examples
    --------
    >>> pack_in_turn((20.0, 20.0), 20.0, 50.0)
    ((10.0, 15.0), (10.0, 35.0))
    """
    if not across_mm:
        return ()
    if max(across_mm) > min(width_mm, depth_mm) + 1e-9:
        return None
    found = _by_corners(across_mm, width_mm, depth_mm, _front)
    return _centred(found, across_mm, width_mm, depth_mm) if found else None


def _front(spot: Spot, width_mm: float, depth_mm: float) -> tuple[float, ...]:
    return round(spot[1], 6), spot[0]


def _left(spot: Spot, width_mm: float, depth_mm: float) -> tuple[float, ...]:
    return round(spot[0], 6), spot[1]


def _to_corner(spot: Spot, width_mm: float, depth_mm: float) -> tuple[float, ...]:
    x, y = spot
    return round(math.hypot(min(x, width_mm - x), min(y, depth_mm - y)), 6), y, x


Way = Callable[[Spot, float, float], tuple[float, ...]]

WAYS: tuple[Way, ...] = (_front, _left, _to_corner)
"""Orders of preference: from the front, from the left, from the corners. The first that places all circles is used."""


def _by_corners(across_mm: tuple[float, ...], width_mm: float, depth_mm: float, way: Way) -> Spots | None:
    """Each circle at the preferred place of those where it touches two circles or sides."""
    found = None
    for count in range(1, len(across_mm) + 1):
        found = _one_more(across_mm[:count], width_mm, depth_mm, way)
        if found is None:
            break
    return found and found[0]


@lru_cache(maxsize=8_000)
def _one_more(across_mm: tuple[float, ...], width_mm: float, depth_mm: float, way: Way) -> tuple[Spots, Floats] | None:
    """Places of the circles, the last one added; then every place that was free for the last.

    Loads with the same first circles share their places. After a circle of the same width, only the places that
    touch that circle are new.
    """
    before = _one_more(across_mm[:-1], width_mm, depth_mm, way) if len(across_mm) > 1 else ((), np.empty((0, 2)))
    if before is None:
        return None
    stand, free = before
    half = across_mm[-1] / 2
    grown = np.column_stack([np.array(stand).reshape(-1, 2), half + np.array(across_mm[:-1]) / 2])
    if across_mm[-2:-1] == across_mm[-1:]:
        spots = np.concatenate(
            [_free_of(grown[-1:], free), _free_of(grown, _touching_last(grown, half, width_mm, depth_mm))]
        )
    else:
        spots = _free_of(grown, _corners(grown, half, width_mm, depth_mm))
    if not len(spots):
        return None
    best = min(((x, y) for x, y in spots.tolist()), key=lambda spot: way(spot, width_mm, depth_mm))
    return (*stand, best), spots


def _free_of(grown: Floats, spots: Floats) -> Floats:
    """The spots far enough from each circle; `grown` holds x, y and the distance asked."""
    far = ((spots[:, None, :] - grown[None, :, :2]) ** 2).sum(axis=2)
    free: Floats = spots[np.all(far >= grown[:, 2] ** 2 - 1e-6, axis=1)]
    return free


def _corners(grown: Floats, half: float, width_mm: float, depth_mm: float) -> Floats:
    """Centres where a circle touches two sides, a side and a circle, or two circles."""
    sides = [(x, y) for x in (half, width_mm - half) for y in (half, depth_mm - half)]
    first, second = np.triu_indices(len(grown), 1)
    spots = [np.array(sides), *_by_sides(grown, half, width_mm, depth_mm), *_between(grown[first], grown[second])]
    return _on_floor(np.concatenate(spots), half, width_mm, depth_mm)


def _touching_last(grown: Floats, half: float, width_mm: float, depth_mm: float) -> Floats:
    """Centres where a circle touches the last circle and a side or another circle."""
    last = np.repeat(grown[-1:], len(grown) - 1, axis=0)
    spots = [*_by_sides(grown[-1:], half, width_mm, depth_mm), *_between(grown[:-1], last)]
    return _on_floor(np.concatenate(spots), half, width_mm, depth_mm)


def _on_floor(spots: Floats, half: float, width_mm: float, depth_mm: float) -> Floats:
    far = np.array([width_mm, depth_mm]) - half + 1e-9
    within: Floats = spots[np.all((spots >= half - 1e-9) & (spots <= far), axis=1)]
    return within


def _by_sides(grown: Floats, half: float, width_mm: float, depth_mm: float) -> list[Floats]:
    """Centres where a circle touches a side and a circle."""
    x, y, apart = grown.T
    spots = []
    for at in (half, width_mm - half):
        rise = np.sqrt(np.maximum(apart**2 - (at - x) ** 2, 0.0))
        spots += [np.column_stack([np.full_like(y, at), y + side]) for side in (-rise, rise)]
    for at in (half, depth_mm - half):
        run = np.sqrt(np.maximum(apart**2 - (at - y) ** 2, 0.0))
        spots += [np.column_stack([x + side, np.full_like(x, at)]) for side in (-run, run)]
    return spots


def _between(first: Floats, second: Floats) -> list[Floats]:
    """Centres where a circle touches both circles of a pair."""
    across = second[:, :2] - first[:, :2]
    between = np.hypot(across[:, 0], across[:, 1])
    meet = (between > np.abs(first[:, 2] - second[:, 2])) & (between < first[:, 2] + second[:, 2])
    first, second, across, between = first[meet], second[meet], across[meet], between[meet]
    along = (between**2 + first[:, 2] ** 2 - second[:, 2] ** 2) / (2 * between)
    aside = np.sqrt(np.maximum(first[:, 2] ** 2 - along**2, 0.0))
    unit = across / between[:, None]
    left = np.column_stack([-unit[:, 1], unit[:, 0]])
    foot = first[:, :2] + along[:, None] * unit
    return [foot + aside[:, None] * left, foot - aside[:, None] * left]


def _pushed_apart(across_mm: Sequence[float], width_mm: float, depth_mm: float) -> Spots | None:
    """Circles from random places, separated until none overlap; their number is the seed."""
    half = np.array(across_mm) / 2
    low, high = half[:, None], np.array([width_mm, depth_mm]) - half[:, None]
    if (high < low - 1e-9).any():
        return None
    trials = low + (high - low) * np.random.default_rng(len(across_mm)).random((TRIALS, len(half), 2))
    need = half[:, None] + half[None, :]
    np.fill_diagonal(need, 0.0)
    for steps, keep in ROUNDS:
        for _ in range(steps):
            apart = trials[:, :, None] - trials[:, None, :]
            far = np.sqrt((apart**2).sum(axis=3)) + 1e-9
            lack = np.maximum(need - far, 0.0)
            done = np.flatnonzero(lack.max(axis=(1, 2)) < SPARE / 4)
            if len(done):
                return tuple((float(x), float(y)) for x, y in trials[done[0]])
            moves = (apart * (lack * 0.55 / far)[..., None]).sum(axis=2)
            trials = np.clip(trials + moves, low, high)
        trials = trials[np.argsort(lack.sum(axis=(1, 2)), kind="stable")[:keep]]
    return None


def _centred(found: Spots, across_mm: Sequence[float], width_mm: float, depth_mm: float) -> Spots:
    """The load moved to the centre of the shelf, where the heat is most even."""
    halves = [across / 2 for across in across_mm]

    def off(ats: Sequence[float], room_mm: float) -> float:
        first = min(at - half for at, half in zip(ats, halves, strict=True))
        last = max(at + half for at, half in zip(ats, halves, strict=True))
        return (room_mm - first - last) / 2

    right, back = off([x for x, _ in found], width_mm), off([y for _, y in found], depth_mm)
    return tuple((x + right, y + back) for x, y in found)
