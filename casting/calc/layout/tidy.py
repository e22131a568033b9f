"""Waxes that are to share a flask, stood as a caster would mount them: even, and easy to tell apart afterwards."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from casting.calc.geometry.shapes import Base, Footprint, corners, gaps
from casting.calc.geometry.verify import faults
from casting.calc.layout.max_clearance import Spread, spread
from casting.calc.layout.search import printed, scattered
from casting.calc.values.arrays import Floats
from casting.calc.values.day_plan import Place

AT_FIRST, CHANGED, AT_LAST, FEW = (
    np.geomspace(20.0, 0.1, 25),
    np.geomspace(4.0, 0.1, 25),
    np.geomspace(0.5, 0.01, 60),
    np.geomspace(10.0, 0.03, 30),
)
"""How much more than it has a layout is asked for, push by push [mm]: a start, one with waxes changed, one of the
best; and a start for a first answer."""

ROUNDS, PARENTS = 2, 6
"""How often the best are changed and spread anew, and how many best.

Of 213 flasks of invented days of 24 and 40 waxes 70 were left with less than 0.8 of the widest margin ever found for
them when six starts were only pushed on and on, with these 9: most lacked another order of the waxes, not more pushes.
"""

MOST_WORK = 7200
"""Trials of a flask times pairs that each of them has, paths and all, at most."""

AT_ONCE = 8
"""The most flasks that are spread beside one another."""

MOST = 0.9
"""Share of the widest margin found for a set that any other layout must keep to be preferred."""

ALIKE_MM, ALIKE_SHARE = 2.0, 0.15
"""Waxes look alike if both sides differ by no more than this, and their metal by no more than that share."""


@dataclass(frozen=True, slots=True)
class Worn:
    """A wax as it is to be told apart: its outline, whose it is (blank: nobody's) and its metal [g]."""

    footprint: Footprint
    student: str = ""
    metal_g: float = 0.0

    def own(self, other: Worn) -> bool:
        """True if both are one student's."""
        return bool(self.student) and self.student == other.student

    def mistaken(self, other: Worn) -> bool:
        """True if they look alike and are not one student's."""
        mine, theirs = self.footprint, other.footprint
        return (
            not self.own(other)
            and abs(mine.half_long_mm - theirs.half_long_mm) <= ALIKE_MM / 2
            and abs(mine.half_short_mm - theirs.half_short_mm) <= ALIKE_MM / 2
            and abs(self.metal_g - other.metal_g) <= ALIKE_SHARE * max(self.metal_g, other.metal_g)
        )


def margin_mm(footprints: Sequence[Footprint], places: Sequence[Place], base: Base) -> float:
    """Return by how much a layout is wider than it must be, at its narrowest.

    Parameters
    ----------
    footprints, places : sequence
        The waxes of one flask and where they stand.
    base : Base
        The base they stand on.

    Returns
    -------
    float
        The least of the gaps less `between_mm` and of the walls less each wax's own [mm].

    Examples
    --------
    >>> margin_mm([Footprint(20, 6, 6.5)] * 2, [Place(0, 7, 0), Place(0, -7, 0)], Base(63.5, 24, 6, 7, 3))
    2.0
    """
    between, _ = gaps(footprints, places, base)
    walls = (
        base.usable_mm(wax) - math.hypot(*corner)
        for wax, place in zip(footprints, places, strict=True)
        for corner in corners(wax, place)
    )
    return min(*walls, math.inf if between is None else between - base.between_mm)


def untidiness_mm(waxes: Sequence[Worn], feet: Sequence[tuple[float, float]]) -> float:
    """Return how far feet are from how a caster would set them; less is better.

    Parameters
    ----------
    waxes : sequence of Worn
        The waxes of one flask.
    feet : sequence of (float, float)
        Where they stand [mm].

    Returns
    -------
    float
        How far their middle is off the axis, and the mean distance of one student's own waxes, less
        the mean distance of the waxes of two students that look alike [mm].
    """
    return float(_untidy(_pulls(waxes), np.array(feet)))


def _pulls(waxes: Sequence[Worn]) -> Floats:
    """How much each two waxes' distance counts."""
    others = ~np.eye(len(waxes), dtype=bool)
    own = others & [[one.own(other) for other in waxes] for one in waxes]
    alike = others & [[one.mistaken(other) for other in waxes] for one in waxes]
    pulls: Floats = own / max(own.sum(), 1) - alike / max(alike.sum(), 1)
    return pulls


def _untidy(pulls: Floats, layouts: Floats) -> Floats:
    """Untidiness of one or many layouts: the last axis x, y and perhaps turn, the one before it the wax."""
    feet = layouts[..., 0] + 1j * layouts[..., 1]
    apart = np.abs(feet[..., :, None] - feet[..., None, :])
    untidy: Floats = np.abs(feet.mean(axis=-1)) + (apart * pulls).sum(axis=(-2, -1))
    return untidy


@dataclass(frozen=True, slots=True)
class Stood:
    """The waxes of one flask, in an order that is always the same, where they stand, and on what base."""

    waxes: tuple[Worn, ...]
    places: tuple[Place, ...]
    base: Base

    @property
    def footprints(self) -> list[Footprint]:
        """The waxes from above."""
        return [wax.footprint for wax in self.waxes]


def as_mounted(flasks: Sequence[Stood], *, longer: bool = True) -> list[tuple[Place, ...]]:
    """Return layouts as a caster would leave them, for flasks whose waxes are settled.

    Parameters
    ----------
    flasks : sequence of Stood
        Flasks whose places `verify.faults` accepted.
    longer : bool
        Whether wider margins are sought in many layouts, or in a few for a first answer.

    Returns
    -------
    list of tuple of Place
        For each flask accepted places: of the layouts found with at least MOST of the widest margin
        found, the tidiest. Those given, if none is wider.
    """
    chosen = [flask.places for flask in flasks]
    for some in _alike([nth for nth, flask in enumerate(flasks) if len(flask.waxes) > 1], flasks):
        for nth, found in zip(some, _found([flasks[nth] for nth in some], longer=longer), strict=True):
            chosen[nth] = _tidiest(flasks[nth], found)
    return chosen


def _alike(flasks: Sequence[int], of: Sequence[Stood]) -> Iterator[list[int]]:
    """Flasks a few at a time, those with about as many waxes together."""
    some: list[int] = []
    for nth in sorted(flasks, key=lambda nth: len(of[nth].waxes)):
        if some and (len(some) == AT_ONCE or len(of[nth].waxes) > len(of[some[0]].waxes) + 1):
            yield some
            some = []
        some.append(nth)
    if some:
        yield some


def _tidiest(flask: Stood, found: Spread) -> tuple[Place, ...]:
    """Of the layouts found and the one given the tidiest with margin enough that is accepted; the one given was."""
    given = Spread(np.array([margin_mm(flask.footprints, flask.places, flask.base)]), _seats(flask)[None])
    found = given.beside(found)
    untidy = np.round(_untidy(_pulls(flask.waxes), found.layouts), 3)
    left = np.ones(len(untidy), dtype=bool)
    while True:
        widest_mm = found.margin_mm[left].max()  # may be just below nothing: the verifier's 0.001 mm
        enough = left & (found.margin_mm >= min(MOST * widest_mm, widest_mm) - 1e-9)
        best = min(np.flatnonzero(enough), key=lambda nth: (untidy[nth], -round(float(found.margin_mm[nth]), 3), nth))
        places = printed(found.layouts[best]) if best else flask.places
        if not best or not faults(flask.footprints, places, flask.base):
            return places
        left[best] = False


def _found(flasks: Sequence[Stood], *, longer: bool) -> list[Spread]:
    """Layouts of each flask, spread beside one another: a push of many costs little more than a push of one."""
    stand = [(flask.footprints, flask.base) for flask in flasks]
    if not longer:
        return spread(stand, [_starts(flask) for flask in flasks], FEW)
    chances = [_chance(flask) for flask in flasks]
    counts = [_count(flask) for flask in flasks]
    starts = [
        np.concatenate([_starts(flask), _scattered(flask, chance, count - 6)])
        for flask, chance, count in zip(flasks, chances, counts, strict=True)
    ]
    found = spread(stand, starts, AT_FIRST)
    for _ in range(ROUNDS):
        changed = [
            _changed(flask, chance, _widest(one, PARENTS).layouts, count)
            for flask, chance, one, count in zip(flasks, chances, found, counts, strict=True)
        ]
        found = _both(found, spread(stand, changed, CHANGED))
    best = [_best(flask, one) for flask, one in zip(flasks, found, strict=True)]
    return _both(found, spread(stand, best, AT_LAST))


def _both(some: Sequence[Spread], more: Sequence[Spread]) -> list[Spread]:
    return [one.beside(other) for one, other in zip(some, more, strict=True)]


def _widest(found: Spread, count: int) -> Spread:
    return found.some(np.argsort(-found.margin_mm, kind="stable")[:count])


def _best(flask: Stood, found: Spread) -> Floats:
    """The widest layouts, these with waxes reseated, and of those wide enough the tidiest."""
    widest = _widest(found, PARENTS).layouts
    wide = found.layouts[found.margin_mm >= MOST * found.margin_mm.max()]
    tidy = wide[np.argsort(_untidy(_pulls(flask.waxes), wide), kind="stable")[:PARENTS]]
    return np.concatenate([widest, [_reseated(flask.waxes, one) for one in widest], tidy])


def _count(flask: Stood) -> int:
    """How many trials: more waxes have more orders round the axis, and each trial then costs more."""
    waxes = len(flask.waxes)
    return max(8, min(20 * waxes - 32, MOST_WORK // (3 * waxes * (waxes - 1) // 2)))


def _chance(flask: Stood) -> np.random.Generator:
    """Chance that is the same for the same waxes."""
    return np.random.default_rng([round(1000 * mm) for one in flask.footprints for mm in (one.width_mm, one.depth_mm)])


def _scattered(flask: Stood, chance: np.random.Generator, count: int) -> Floats:
    return scattered(chance.random((count, len(flask.waxes), 3)), flask.base.hub_mm / 2 + flask.base.reach_mm)


def _changed(flask: Stood, chance: np.random.Generator, layouts: Floats, count: int) -> Floats:
    """Layouts with two waxes changed for one another, or one or both of them turned by a quarter."""
    waxes, rows = len(flask.waxes), np.arange(count)
    changed = layouts[rows % len(layouts)].copy()
    one = chance.integers(waxes, size=count)
    other = (one + chance.integers(1, waxes, size=count)) % waxes
    swap, turn_one, turn_other = chance.random((3, count)) < [[0.7], [0.4], [0.4]]
    lying = np.array([_lying(wax.footprint) for wax in flask.waxes])
    here, there = changed[rows, one], changed[rows, other]
    here[:, 2] += lying[other] - lying[one]
    there[:, 2] += lying[one] - lying[other]
    changed[rows[swap], one[swap]], changed[rows[swap], other[swap]] = there[swap], here[swap]
    changed[rows, one, 2] += np.where(turn_one, math.pi / 2, 0.0)
    changed[rows, other, 2] += np.where(turn_other, math.pi / 2, 0.0)
    return changed


def _seats(flask: Stood) -> Floats:
    return np.array([(at.x_mm, at.y_mm, math.radians(at.turn_deg)) for at in flask.places])


def _starts(flask: Stood) -> Floats:
    """The seats given, and rings along and across; each as it is and with the waxes' seats changed."""
    seats = [_seats(flask), *(_ring(flask.footprints, flask.base, across) for across in (False, True))]
    return np.array([*seats, *(_reseated(flask.waxes, one) for one in seats)])


def _ring(footprints: Sequence[Footprint], base: Base, across: bool) -> Floats:
    """Feet evenly round the axis, each wax with a share of the round by its side there."""
    sides = [one.half_long_mm if across else one.half_short_mm for one in footprints]
    shares = np.array(sides) * 2 + base.between_mm
    angles = (np.cumsum(shares) - shares[0] / 2 - shares / 2) / shares.sum() * math.tau + math.pi / 2
    wide = np.array([one.width_mm >= one.depth_mm for one in footprints])
    turns = angles + np.where(wide == across, math.pi / 2, 0.0)
    far = base.hub_mm / 2 + base.reach_mm / 2
    return np.stack([far * np.cos(angles), far * np.sin(angles), turns], axis=1)


def _reseated(waxes: Sequence[Worn], seats: Floats) -> Floats:
    """The waxes on the same seats, two of them changing places while that is tidier."""
    pulls, order = _pulls(waxes), np.arange(len(waxes))
    swaps = np.array([_swap(len(waxes), *pair) for pair in combinations(range(len(waxes)), 2)])
    untidy = np.round(_untidy(pulls, seats), 6)
    while True:
        orders = order[swaps]
        after = np.round(_untidy(pulls, seats[orders]), 6)
        best = after.argmin()
        if after[best] >= untidy:
            break
        order, untidy = orders[best], after[best]
    moved: Floats = seats[order].copy()
    lying = np.array([_lying(wax.footprint) for wax in waxes])
    moved[:, 2] += lying - lying[order]
    return moved


def _swap(count: int, one: int, other: int) -> list[int]:
    order = list(range(count))
    order[one], order[other] = other, one
    return order


def _lying(footprint: Footprint) -> float:
    """A quarter turn for a wax deeper than wide, so that long sides change places with long sides."""
    return math.pi / 2 if footprint.depth_mm > footprint.width_mm else 0.0
