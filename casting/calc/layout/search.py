"""Search for a layout of waxes on one sprue base: multistart overlap removal, whatever the order of the waxes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache

import numpy as np

from casting.calc.geometry.infeasibility import cannot_share
from casting.calc.geometry.shapes import Base, Footprint
from casting.calc.geometry.verify import faults
from casting.calc.layout.contacts import Constraints, padded
from casting.calc.layout.separation import AIM, push
from casting.calc.values.arrays import Floats
from casting.calc.values.day_plan import Place
from casting.calc.values.tolerances import SPARE

WORK = 32
"""Trial layouts for one search."""

QUICK, BATCH = 6, 26
"""Trials in the first batch, and in each batch after it."""

JUST = 5 * AIM
"""A trial that lacks no more than this may just fit; starts that lack no more are kept as they are [mm]."""

JUST_STEPS = 120
"""Steps spent on trials that may just fit."""

BESIDE, BESIDE_STEPS = 8, 40
"""Flasks separated in one batch, and the steps spent on it."""

ROUNDS = ((10, 0.5, 12.0), (15, 0.5, 5.5), (25, 0.5, 3.5), (40, 0.3, math.inf))
"""Steps, the share of the trials kept for the next round, and the largest total violation of the best of them [mm].

Of the trials that ended in a layout on the invented days, 97 in 100 lacked less.
"""


def find_layout(footprints: Sequence[Footprint], base: Base, work: int = WORK) -> tuple[Place, ...] | None:
    """Return places for waxes that are to share a flask, or None if no layout was found.

    Parameters
    ----------
    footprints : sequence of Footprint
        The waxes, in any order.
    base : Base
        The base they stand on.
    work : int
        How many trial layouts to separate, up to the next whole batch. A layout found with
        some work is found with more.

    Returns
    -------
    tuple of Place or None
        Places in the order of the waxes, accepted by `verify.faults`. None proves nothing.

    Notes
    -----
    The answer depends on the set of waxes alone: they are sorted, the seed comes from them.

    Examples
    --------
    >>> find_layout([Footprint(20, 6, 6.5)], Base(63.5, 24, 6, 7, 3))
    (Place(x_mm=0.0, y_mm=0.0, turn_deg=0.0),)
    """
    order = _sorted(footprints)
    found = _layout(tuple(_upright(footprints[i]) for i in order), base, work)
    return None if found is None else _in_asked_order(footprints, order, found)


def find_layouts(asked: Sequence[tuple[Sequence[Footprint], Base]]) -> list[tuple[Place, ...] | None]:
    """Return the layouts that a brief search finds for several flasks, searched for in batches.

    Parameters
    ----------
    asked : sequence of (sequence of Footprint, Base)
        The waxes of each flask, in any order, and the base they stand on.

    Returns
    -------
    list of (tuple of Place or None)
        For each flask as `find_layout`; None where that has to search longer.
    """
    orders = [_sorted(waxes) for waxes, _ in asked]
    upright = [tuple(_upright(waxes[i]) for i in order) for order, (waxes, _) in zip(orders, asked, strict=True)]
    found = [
        _layout(waxes, base, 0) if len(waxes) == 1 else None for waxes, (_, base) in zip(upright, asked, strict=True)
    ]
    by_count = sorted((nth for nth, waxes in enumerate(upright) if len(waxes) > 1), key=lambda nth: len(upright[nth]))
    for start in range(0, len(by_count), BESIDE):
        some = by_count[start : start + BESIDE]
        for nth, places in zip(some, _find_in_batch([(upright[nth], asked[nth][1]) for nth in some]), strict=True):
            found[nth] = None if places is None else _in_asked_order(asked[nth][0], orders[nth], places)
    return found


def _find_in_batch(asked: Sequence[tuple[tuple[Footprint, ...], Base]]) -> list[tuple[Place, ...] | None]:
    """Layouts of several flasks, from a few trials of each in one batch."""
    firsts = [
        np.array([next(trials) for _ in range(QUICK)]) for trials in (_trials(waxes, base) for waxes, base in asked)
    ]
    state, constraints = padded(firsts), Constraints.of(asked, [QUICK] * len(asked))
    whose = np.repeat(np.arange(len(asked)), QUICK)
    found: list[tuple[Place, ...] | None] = [None] * len(asked)
    for _ in range(BESIDE_STEPS):
        pushed = push(constraints, state)
        for trial in np.flatnonzero(pushed.worst <= AIM - SPARE):
            waxes, base = asked[whose[trial]]
            places = printed(state[:, : len(waxes), trial].T)
            if found[whose[trial]] is None and not faults(waxes, places, base):
                found[whose[trial]] = places
        stay = np.array([found[nth] is None for nth in whose])
        if not stay.any():
            break
        state = state + pushed.move
        if not stay.all():
            constraints, state, whose = constraints.only(stay), state.compress(stay, axis=2), whose[stay]
    return found


def _in_asked_order(footprints: Sequence[Footprint], order: Sequence[int], found: Sequence[Place]) -> tuple[Place, ...]:
    """Places of the sorted, upright waxes, put back into the order and turn that were asked for."""
    places: list[Place] = [Place(0.0, 0.0, 0.0)] * len(footprints)
    for i, place in zip(order, found, strict=True):
        places[i] = place if _upright(footprints[i]) == footprints[i] else _quarter(place)
    return tuple(places)


def _sorted(footprints: Sequence[Footprint]) -> list[int]:
    return sorted(range(len(footprints)), key=lambda i: _rank(footprints[i]))


def _rank(one: Footprint) -> tuple[float, ...]:
    long, short = max(one.width_mm, one.depth_mm), min(one.width_mm, one.depth_mm)
    return -long, -short, one.wall_mm, one.width_mm


def _upright(one: Footprint) -> Footprint:
    long, short = max(one.width_mm, one.depth_mm), min(one.width_mm, one.depth_mm)
    return Footprint(long, short, one.wall_mm)


def _quarter(place: Place) -> Place:
    """The same rectangle with width and depth swapped."""
    return Place(place.x_mm, place.y_mm, round((place.turn_deg + 90) % 180, 3))


@lru_cache(maxsize=20_000)
def _layout(footprints: tuple[Footprint, ...], base: Base, work: int) -> tuple[Place, ...] | None:
    if not footprints or cannot_share(footprints, base, ring=False):
        return None if footprints else ()
    if len(footprints) == 1:
        return (Place(0.0, 0.0, 0.0),)
    trials = _trials(footprints, base)
    # A few trials suffice for most flasks; the tight ones need many. Batches are whole, so that
    # more work tries everything that less work tries.
    tried = 0
    while tried < work:
        count = BATCH if tried else QUICK
        places = _separate(footprints, base, padded([np.array([next(trials) for _ in range(count)])]))
        if places:
            return places
        tried += count
    return None


def _separate(footprints: Sequence[Footprint], base: Base, state: Floats) -> tuple[Place, ...] | None:
    """Separate trials, fewer of them in each round, until the verifier accepts one."""
    constraints = Constraints.of([(footprints, base)], [1])
    begun = state.compress(push(constraints, state).worst <= JUST, axis=2)
    for steps, share, most_mm in ROUNDS:
        for _ in range(steps):
            pushed = push(constraints, state)
            for trial in np.flatnonzero(pushed.worst <= AIM - SPARE):
                places = printed(state[..., trial].T)
                if not faults(footprints, places, base):
                    return places
            state = state + pushed.move
        total = push(constraints, state).total
        keep = np.argsort(total, kind="stable")
        if not begun.size and total[keep[0]] > most_mm:
            return None
        near = np.concatenate([begun, state.take(keep[:3], axis=2)], axis=2)
        state = state.take(keep[: math.ceil(len(keep) * share)], axis=2)
    return _just_fitting(footprints, base, constraints, near)


def _just_fitting(
    footprints: Sequence[Footprint], base: Base, constraints: Constraints, state: Floats
) -> tuple[Place, ...] | None:
    """A layout that just fits, from trials that all but hold with SPARE."""
    for step in range(JUST_STEPS):
        pushed = push(constraints, state, aim_mm=0.0)
        worst = pushed.worst
        for trial in np.flatnonzero(worst <= SPARE):
            places = printed(state[..., trial].T)
            if not faults(footprints, places, base):
                return places
        if step == JUST_STEPS // 6 and worst.min() > JUST:
            return None
        state = state + pushed.move / 2
    return None


def printed(trial: Floats) -> tuple[Place, ...]:
    """Return one trial as it is printed.

    Parameters
    ----------
    trial : array of float
        For each wax x [mm], y [mm] and turn [radians].

    Returns
    -------
    tuple of Place
        To 0.001 mm and 0.001 degrees, turns from 0 to below 180.
    """
    return tuple(
        Place(round(float(x), 3) + 0.0, round(float(y), 3) + 0.0, round(math.degrees(turn) % 180, 3) % 180)
        for x, y, turn in trial
    )


def _trials(footprints: Sequence[Footprint], base: Base) -> Iterator[Floats]:
    """Trial layouts without end: rings along and across, with and without a wax in the middle, rows, random ones."""
    numbers = [round(1000 * mm) for one in footprints for mm in (one.width_mm, one.depth_mm)]
    chance = np.random.default_rng(numbers)
    reach_mm = base.hub_mm / 2 + base.reach_mm
    while True:
        order = chance.permutation(len(footprints)).tolist()
        yield _ring(footprints, order, reach_mm, across=True, middle=False)
        yield _row(footprints, order, base)
        yield _ring(footprints, order, reach_mm, across=False, middle=False)
        yield _ring(footprints, order, reach_mm, across=True, middle=True)
        spread = chance.random((len(footprints), 3))
        yield random_poses(spread, reach_mm)
        yield _ring(footprints, order, reach_mm * float(chance.uniform(0.5, 1)), across=True, middle=False)


def _ring(
    footprints: Sequence[Footprint], order: Sequence[int], radius_mm: float, *, across: bool, middle: bool
) -> Floats:
    """Feet round the axis, each wax with a share of the turn by its size."""
    trial = np.zeros((len(footprints), 3))
    ring = list(order[1:] if middle else order)
    shares = np.array([(footprints[i].width_mm if across else footprints[i].depth_mm) + 6.0 for i in ring], dtype=float)
    angles = (np.cumsum(shares) - shares / 2) / shares.sum() * math.tau
    for i, angle in zip(ring, angles, strict=True):
        turn = angle + math.pi / 2 if across else angle
        trial[i] = radius_mm * math.cos(angle), radius_mm * math.sin(angle), turn
    return trial


def _row(footprints: Sequence[Footprint], order: Sequence[int], base: Base) -> Floats:
    """Waxes side by side across the base, long sides facing."""
    trial = np.zeros((len(footprints), 3))
    at = 0.0
    for i in order:
        depth_mm = footprints[i].depth_mm
        trial[i] = at + depth_mm / 2, 0.01 * i, math.pi / 2
        at += depth_mm + base.between_mm
    trial[:, 0] -= (at - base.between_mm) / 2
    return trial


def random_poses(chance: Floats, reach_mm: float) -> Floats:
    """Return poses drawn evenly from the circle of reach and from all turns.

    Parameters
    ----------
    chance : array of float
        Three random numbers from 0 to 1 for each wax, along the last axis.
    reach_mm : float
        How far from the axis a foot may stand [mm].

    Returns
    -------
    array of float
        x [mm], y [mm] and turn [radians] along the last axis.
    """
    radius, angle = reach_mm * np.sqrt(chance[..., 0]), math.tau * chance[..., 1]
    return np.stack([radius * np.cos(angle), radius * np.sin(angle), math.pi * chance[..., 2]], axis=-1)
