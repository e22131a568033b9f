"""Makes room for one more wax: as few of the others as can be move, in a bounded number of trials."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations, islice

import numpy as np

from casting.calc.geometry.infeasibility import cannot_share
from casting.calc.geometry.shapes import Base, Footprint
from casting.calc.layout.around import Standing, pushed_apart, widened, with_standing
from casting.calc.layout.search import find_layout, random_poses
from casting.calc.values.arrays import Floats
from casting.calc.values.day_plan import Place

TRIALS, FEWEST, CHOICES = 96, 4, 20
"""Trial layouts for each number of waxes that move, the fewest of one choice of them, and the most choices."""

FEW = 4
"""Up to so many others move; if that is not enough, all of them may."""

STEPS = 40
"""Pushes of each trial."""

JITTER_MM, JITTER_RAD = 4.0, 0.5
"""How far a wax that moves is first set from where it stood."""

AT_LAST = 32
"""Trial layouts of all waxes, if it does not matter any more which of them move."""


def make_room(
    footprints: Sequence[Footprint], stands: Sequence[Place], base: Base, spot: Place | None = None
) -> tuple[Place, ...] | None:
    """Return places for a wax and the others of its flask, of which as few move as can be found.

    Parameters
    ----------
    footprints : sequence of Footprint
        The new wax, then the others.
    stands : sequence of Place
        Where the others stand.
    base : Base
        Their base, without a trunk.
    spot : Place, optional
        Where the new wax has to stand; anywhere if not given.

    Returns
    -------
    tuple of Place or None
        The new wax's place, then those of the others, accepted by `verify.faults`. None proves nothing.

    Examples
    --------
    >>> ring, base = Footprint(20, 6, 6.5), Base(63.5, 24, 6, 7, 3)
    >>> places = make_room([ring, ring], [Place(0, 0, 0)], base)
    >>> places is not None and places[1] != Place(0, 0, 0)
    True
    """
    if cannot_share(footprints, base, ring=False):
        return None
    chance = np.random.default_rng([round(1000 * mm) for one in footprints for mm in (one.width_mm, one.depth_mm)])
    others = range(1, len(footprints))
    for count in [*others[:FEW], *others[FEW:][-1:]]:
        choices = list(islice(combinations(others, count), CHOICES))
        found = _moving(choices, footprints, stands, base, spot, chance)
        if found is not None:
            return found
    return find_layout(footprints, base, AT_LAST) if spot is None else None


def _moving(
    choices: Sequence[tuple[int, ...]],
    footprints: Sequence[Footprint],
    stands: Sequence[Place],
    base: Base,
    spot: Place | None,
    chance: np.random.Generator,
) -> tuple[Place, ...] | None:
    """Places with the waxes of one of these choices moved, the one that moves them least; None if none was found."""
    at = [spot, *stands]
    free = [(0, *moved) if spot is None else moved for moved in choices]
    fixed = [[nth for nth in range(len(footprints)) if nth not in some] for some in free]
    standing: list[Standing] = [[(footprints[nth], place) for nth in some if (place := at[nth])] for some in fixed]
    flasks = [([footprints[nth] for nth in (*some, *rest)], base) for some, rest in zip(free, fixed, strict=True)]
    count = max(FEWEST, TRIALS // len(choices))
    trials = [
        with_standing(_starts(some, at, base, count, chance), stand) for some, stand in zip(free, standing, strict=True)
    ]
    many = len(free[0])
    found = widened(flasks, standing, pushed_apart(flasks, standing, trials, many, STEPS), many)
    layouts = [_in_order(some, places, at) for some, places in zip(free, found, strict=True) if places is not None]
    return min(layouts, key=lambda places: _shift_mm(places, stands), default=None)


def _starts(
    free: Sequence[int], at: Sequence[Place | None], base: Base, count: int, chance: np.random.Generator
) -> Floats:
    """First poses of the waxes that move: half of the trials near where they stood, half anywhere in reach."""
    poses = random_poses(chance.random((count, len(free), 3)), base.hub_mm / 2 + base.reach_mm)
    noise = chance.normal(size=poses.shape) * (JITTER_MM, JITTER_MM, JITTER_RAD)
    for nth, one in enumerate(free):
        place = at[one]
        if place is not None:
            stood = place.x_mm, place.y_mm, math.radians(place.turn_deg)
            poses[::2, nth] = (noise[:, nth] + stood)[::2]
    return poses


def _in_order(free: Sequence[int], places: Sequence[Place], at: Sequence[Place | None]) -> tuple[Place, ...]:
    by_wax = dict(zip(free, places, strict=True))
    return tuple(place for nth, stood in enumerate(at) if (place := by_wax.get(nth, stood)) is not None)


def _shift_mm(places: Sequence[Place], stands: Sequence[Place]) -> float:
    """How far the others have moved, added up."""
    return sum(
        math.hypot(new.x_mm - old.x_mm, new.y_mm - old.y_mm) for new, old in zip(places[1:], stands, strict=True)
    )
