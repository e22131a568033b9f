"""Tidies layouts as a caster would mount them: wide clearances, centred, waxes easy to tell apart afterwards."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from casting.calc.geometry.shapes import Base, Footprint, corners, gaps
from casting.calc.geometry.verify import faults
from casting.calc.layout.max_clearance import Layouts, maximise_clearance
from casting.calc.layout.search import printed, random_poses
from casting.calc.values.arrays import Floats
from casting.calc.values.day_plan import Place

AT_FIRST, CHANGED, AT_LAST, FEW = (
    np.geomspace(20.0, 0.1, 25),
    np.geomspace(4.0, 0.1, 25),
    np.geomspace(0.5, 0.01, 60),
    np.geomspace(10.0, 0.03, 30),
)
"""How much wider than it is a layout is asked to be, push by push [mm]: a start, one with two waxes swapped, one of
the best; and a start for a first answer."""

ROUNDS, PARENTS = 2, 6
"""How often the best layouts are varied and widened again, and how many of them.

Of 213 flasks of invented days of 24 and 40 waxes 70 ended below 0.8 of the widest margin ever found for them
when six starts were only pushed further, with these 9: most lacked another order of the waxes, not more pushes.
"""

MOST_WORK = 7200
"""The most trials of a flask, times the pairs of each, paths included."""

AT_ONCE = 8
"""The most flasks in one batch."""

MOST = 0.9
"""Share of the widest margin found that another layout must keep to be preferred."""

ALIKE_MM, ALIKE_SHARE = 2.0, 0.15
"""Waxes look alike if both sides differ by no more than this, and their metal by no more than that share."""


@dataclass(frozen=True, slots=True)
class WaxIdentity:
    """What tells a wax from others: its outline, its student (blank: nobody's) and its metal [g]."""

    footprint: Footprint
    student: str = ""
    metal_g: float = 0.0

    def own(self, other: WaxIdentity) -> bool:
        """True if both belong to one student."""
        return bool(self.student) and self.student == other.student

    def mistaken(self, other: WaxIdentity) -> bool:
        """True if they look alike and belong to different people."""
        mine, theirs = self.footprint, other.footprint
        return (
            not self.own(other)
            and abs(mine.half_long_mm - theirs.half_long_mm) <= ALIKE_MM / 2
            and abs(mine.half_short_mm - theirs.half_short_mm) <= ALIKE_MM / 2
            and abs(self.metal_g - other.metal_g) <= ALIKE_SHARE * max(self.metal_g, other.metal_g)
        )


def margin_mm(footprints: Sequence[Footprint], places: Sequence[Place], base: Base) -> float:
    """Return the margin of a layout: its least clearance beyond what the rules ask.

    Parameters
    ----------
    footprints, places : sequence
        The waxes of one flask and their places.
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


def distance_weights(waxes: Sequence[WaxIdentity]) -> Floats:
    """Return the weight of the distance between each two waxes in the untidiness of a layout.

    Parameters
    ----------
    waxes : sequence of WaxIdentity
        The waxes of one flask.

    Returns
    -------
    array of float
        Wax, wax: positive for two of one student, negative for two of different students that look alike, each
        kind a mean over its pairs.
    """
    others = ~np.eye(len(waxes), dtype=bool)
    own = others & [[one.own(other) for other in waxes] for one in waxes]
    alike = others & [[one.mistaken(other) for other in waxes] for one in waxes]
    weights: Floats = own / max(own.sum(), 1) - alike / max(alike.sum(), 1)
    return weights


def untidiness_mm(weights: Floats, layouts: Floats) -> Floats:
    """Return how far layouts are from the way a caster would mount them; less is better.

    Parameters
    ----------
    weights : array of float
        Wax, wax: see `distance_weights`.
    layouts : array of float
        ..., wax, figure: x [mm], y [mm] and perhaps turn.

    Returns
    -------
    array of float
        For each layout the distance of its centroid from the axis, and the mean distance between waxes of one
        student, less the mean distance between waxes of different students that look alike [mm].
    """
    feet = layouts[..., 0] + 1j * layouts[..., 1]
    apart = np.abs(feet[..., :, None] - feet[..., None, :])
    untidy: Floats = np.abs(feet.mean(axis=-1)) + (apart * weights).sum(axis=(-2, -1))
    return untidy


@dataclass(frozen=True, slots=True)
class MountedFlask:
    """The waxes of one flask in a fixed order, their places, and the base that carries them."""

    waxes: tuple[WaxIdentity, ...]
    places: tuple[Place, ...]
    base: Base

    @property
    def footprints(self) -> list[Footprint]:
        """Outlines of the waxes from above."""
        return [wax.footprint for wax in self.waxes]


def tidy(flasks: Sequence[MountedFlask], *, longer: bool = True) -> list[tuple[Place, ...]]:
    """Return the tidiest wide layouts of flasks that have a layout.

    Parameters
    ----------
    flasks : sequence of MountedFlask
        Flasks whose places `verify.faults` accepted.
    longer : bool
        Whether many trial layouts are widened, or a few for a first answer.

    Returns
    -------
    list of tuple of Place
        For each flask accepted places: the tidiest of the layouts found that keep at least MOST of the widest
        margin found, or those given.
    """
    chosen = [flask.places for flask in flasks]
    for some in _batches([nth for nth, flask in enumerate(flasks) if len(flask.waxes) > 1], flasks):
        for nth, found in zip(some, _candidates([flasks[nth] for nth in some], longer=longer), strict=True):
            chosen[nth] = _tidiest(flasks[nth], found)
    return chosen


def _batches(flasks: Sequence[int], of: Sequence[MountedFlask]) -> Iterator[list[int]]:
    """Flasks in batches, those with about as many waxes together."""
    some: list[int] = []
    for nth in sorted(flasks, key=lambda nth: len(of[nth].waxes)):
        if some and (len(some) == AT_ONCE or len(of[nth].waxes) > len(of[some[0]].waxes) + 1):
            yield some
            some = []
        some.append(nth)
    if some:
        yield some


def _tidiest(flask: MountedFlask, found: Layouts) -> tuple[Place, ...]:
    """The tidiest accepted layout with enough margin, of those found and the one given, which is accepted."""
    given = Layouts(np.array([margin_mm(flask.footprints, flask.places, flask.base)]), _seats(flask)[None])
    found = given.joined_with(found)
    untidy = np.round(untidiness_mm(distance_weights(flask.waxes), found.layouts), 3)
    left = np.ones(len(untidy), dtype=bool)
    while True:
        widest_mm = found.margin_mm[left].max()  # may be just below nothing: the verifier's 0.001 mm
        enough = left & (found.margin_mm >= min(MOST * widest_mm, widest_mm) - 1e-9)
        best = min(np.flatnonzero(enough), key=lambda nth: (untidy[nth], -round(float(found.margin_mm[nth]), 3), nth))
        places = printed(found.layouts[best]) if best else flask.places
        if not best or not faults(flask.footprints, places, flask.base):
            return places
        left[best] = False


def _candidates(flasks: Sequence[MountedFlask], *, longer: bool) -> list[Layouts]:
    """Layouts of each flask, widened in one batch: a push of many costs little more than a push of one."""
    stand = [(flask.footprints, flask.base) for flask in flasks]
    if not longer:
        return maximise_clearance(stand, [_starts(flask) for flask in flasks], FEW)
    chances = [_chance(flask) for flask in flasks]
    counts = [_count(flask) for flask in flasks]
    starts = [
        np.concatenate([_starts(flask), _random_layouts(flask, chance, count - 6)])
        for flask, chance, count in zip(flasks, chances, counts, strict=True)
    ]
    found = maximise_clearance(stand, starts, AT_FIRST)
    for _ in range(ROUNDS):
        changed = [
            _varied(flask, chance, _widest(one, PARENTS).layouts, count)
            for flask, chance, one, count in zip(flasks, chances, found, counts, strict=True)
        ]
        found = _joined(found, maximise_clearance(stand, changed, CHANGED))
    best = [_best(flask, one) for flask, one in zip(flasks, found, strict=True)]
    return _joined(found, maximise_clearance(stand, best, AT_LAST))


def _joined(some: Sequence[Layouts], more: Sequence[Layouts]) -> list[Layouts]:
    return [one.joined_with(other) for one, other in zip(some, more, strict=True)]


def _widest(found: Layouts, count: int) -> Layouts:
    return found.subset(np.argsort(-found.margin_mm, kind="stable")[:count])


def _best(flask: MountedFlask, found: Layouts) -> Floats:
    """The widest layouts, the same with waxes exchanged for tidiness, and the tidiest of those wide enough."""
    widest = _widest(found, PARENTS).layouts
    wide = found.layouts[found.margin_mm >= MOST * found.margin_mm.max()]
    tidy = wide[np.argsort(untidiness_mm(distance_weights(flask.waxes), wide), kind="stable")[:PARENTS]]
    return np.concatenate([widest, [_exchanged(flask.waxes, one) for one in widest], tidy])


def _count(flask: MountedFlask) -> int:
    """Number of trials: more waxes have more orders round the axis, and a trial of more waxes costs more."""
    waxes = len(flask.waxes)
    return max(8, min(20 * waxes - 32, MOST_WORK // (3 * waxes * (waxes - 1) // 2)))


def _chance(flask: MountedFlask) -> np.random.Generator:
    """A random generator seeded by the waxes."""
    return np.random.default_rng([round(1000 * mm) for one in flask.footprints for mm in (one.width_mm, one.depth_mm)])


def _random_layouts(flask: MountedFlask, chance: np.random.Generator, count: int) -> Floats:
    return random_poses(chance.random((count, len(flask.waxes), 3)), flask.base.hub_mm / 2 + flask.base.reach_mm)


def _varied(flask: MountedFlask, chance: np.random.Generator, layouts: Floats, count: int) -> Floats:
    """Neighbours of layouts: two waxes change places, or one or both of them make a quarter turn."""
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


def _seats(flask: MountedFlask) -> Floats:
    return np.array([(at.x_mm, at.y_mm, math.radians(at.turn_deg)) for at in flask.places])


def _starts(flask: MountedFlask) -> Floats:
    """The layout given and rings along and across, each as it is and with waxes exchanged for tidiness."""
    seats = [_seats(flask), *(_ring(flask.footprints, flask.base, across) for across in (False, True))]
    return np.array([*seats, *(_exchanged(flask.waxes, one) for one in seats)])


def _ring(footprints: Sequence[Footprint], base: Base, across: bool) -> Floats:
    """Feet round the axis, each wax with a share of the turn by its side there."""
    sides = [one.half_long_mm if across else one.half_short_mm for one in footprints]
    shares = np.array(sides) * 2 + base.between_mm
    angles = (np.cumsum(shares) - shares[0] / 2 - shares / 2) / shares.sum() * math.tau + math.pi / 2
    wide = np.array([one.width_mm >= one.depth_mm for one in footprints])
    turns = angles + np.where(wide == across, math.pi / 2, 0.0)
    far = base.hub_mm / 2 + base.reach_mm / 2
    return np.stack([far * np.cos(angles), far * np.sin(angles), turns], axis=1)


def _exchanged(waxes: Sequence[WaxIdentity], seats: Floats) -> Floats:
    """The same seats, with waxes exchanged two by two while that is tidier."""
    weights, order = distance_weights(waxes), np.arange(len(waxes))
    swaps = np.array([_swap(len(waxes), *pair) for pair in combinations(range(len(waxes)), 2)])
    untidy = np.round(untidiness_mm(weights, seats), 6)
    while True:
        orders = order[swaps]
        after = np.round(untidiness_mm(weights, seats[orders]), 6)
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
    """A quarter turn for a wax deeper than wide, so that long sides take the place of long sides."""
    return math.pi / 2 if footprint.depth_mm > footprint.width_mm else 0.0
