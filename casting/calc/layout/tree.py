"""Layouts of waxes on a tree: tiers of rings round a trunk, kept only if `verify_tree` accepts them.

In a ring each wax turns one side square to the axis. Two neighbours need an angle between them;
a ring closes if its angles add up to at most a full turn. Which waxes share a tier is free: tiers
are put in order afterwards, the heaviest nearest the button.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from casting.calc.geometry.infeasibility import cannot_fit_alone
from casting.calc.geometry.shapes import Base, Footprint, TreeWax
from casting.calc.geometry.verify_tree import NEAR_MOST_MM, tree_faults
from casting.calc.values.arrays import Floats
from casting.calc.values.day_plan import Place, TreePlace
from casting.calc.values.tolerances import TREE_SPARE

SHUFFLES = 8
"""Random orders of filling that are tried where no sorted order gives a tree low enough."""

HALVINGS = 14
"""An angle is found to 0.0002 radians: under 0.01 mm at the wall."""

STAND_OFF = (0.0, 0.25, 0.5, 0.75, 1.0)
"""Distances of a ring from the trunk, as shares from the least gap to the most, nearest first: sprues stay short."""


@dataclass(frozen=True, slots=True, order=True)
class _Stand:
    """A wax in a ring: its side along the ring, its depth outward, its near face's distance from the axis."""

    along_mm: float
    out_mm: float
    near_mm: float
    turned: bool

    def place(self, angle: float) -> Place:
        """Where the rectangle stands at an angle round the axis, its width outward."""
        foot_mm = self.near_mm + self.out_mm / 2
        return Place(foot_mm * math.cos(angle), foot_mm * math.sin(angle), math.degrees(angle))


@dataclass(frozen=True, slots=True)
class _Ring:
    """Waxes by number, in order round the trunk, each with its stand and angle."""

    numbers: tuple[int, ...]
    stands: tuple[_Stand, ...]
    angles: tuple[float, ...]


class _Spacing:
    """The least angle between any two shapes in a ring at one distance from the trunk, computed once per pair."""

    def __init__(self, base: Base, off: float) -> None:
        self.base, self.off = base, off
        self.stands: list[_Stand] = []
        self.angles: list[list[float]] = []
        self._numbers: dict[Footprint, int] = {}

    def numbers(self, footprints: Sequence[Footprint]) -> list[int]:
        """The number of each shape in `stands` and `angles`."""
        unknown = [one for one in dict.fromkeys(footprints) if one not in self._numbers]
        if unknown:
            self._add(unknown)
        return [self._numbers[one] for one in footprints]

    def _add(self, footprints: Sequence[Footprint]) -> None:
        known = len(self.stands)
        self._numbers |= {one: number for number, one in enumerate(footprints, start=known)}
        self.stands += _stands(footprints, self.base, self.off)
        pairs = [(i, j) for j in range(known, len(self.stands)) for i in range(j + 1)]
        angles = _least_angles([(self.stands[i], self.stands[j]) for i, j in pairs], self.base)
        self.angles += [[] for _ in footprints]
        for (i, j), angle in zip(pairs, angles, strict=True):
            self.angles[j].append(angle)
            if i < j:
                self.angles[i].append(angle)


@lru_cache(maxsize=200)
def _spacing(base: Base, off: float) -> _Spacing:
    return _Spacing(base, off)


class _Rings:
    """The rings that waxes of one tree can form at one distance from the trunk."""

    def __init__(self, waxes: Sequence[TreeWax], base: Base, off: float) -> None:
        self._waxes, self._spacing = waxes, _spacing(base, off)
        self._shapes = self._spacing.numbers([wax.footprint for wax in waxes])
        stands = [self._spacing.stands[shape] for shape in self._shapes]
        largest = sorted(range(len(waxes)), key=lambda i: (-stands[i].along_mm, -stands[i].out_mm, i))
        self._rank = {number: rank for rank, number in enumerate(largest)}

    def ring(self, tier: Sequence[int]) -> _Ring | None:
        """A closed ring, its waxes sorted by size or alternating large and small; None if neither order closes."""
        by_size = sorted(tier, key=self._rank.__getitem__)
        half = (len(by_size) + 1) // 2
        mixed = [i for pair in zip(by_size[:half], [*by_size[half:], -1], strict=False) for i in pair if i >= 0]
        for order in (by_size, mixed):
            shapes = [self._shapes[i] for i in order]
            angles = _round(shapes, self._spacing.angles)
            if angles is not None:
                return _Ring(tuple(order), tuple(self._spacing.stands[shape] for shape in shapes), angles)
        return None

    def least_height_mm(self) -> float:
        """A lower bound on the height of these waxes in tiers.

        Between its two neighbours a wax takes at least its least angle to any wax. If the n tallest waxes together
        take more than k full turns, they fill more than k tiers, so at least k + 1 tiers are as tall as the n-th.
        """
        shapes = set(self._shapes)
        takes = {shape: min(self._spacing.angles[shape][other] for other in shapes) for shape in shapes}
        between_mm = self._spacing.base.between_mm
        taken, tiers, height_mm = 0.0, 0, -between_mm
        for wax, shape in sorted(zip(self._waxes, self._shapes, strict=True), key=lambda one: -one[0].height_mm):
            taken += takes[shape]
            if taken > tiers * math.tau + 1e-6:
                tiers += 1
                height_mm += wax.height_mm + between_mm
        return height_mm


def length_of(places: Iterable[Place], base: Base) -> float:
    """Return how long the trunk of a tree is.

    Parameters
    ----------
    places : iterable of Place
        The places of a tree's waxes, at least one.
    base : Base
        The base, with its trunk.

    Returns
    -------
    float
        From the top of the cone to the lower faces of the highest tier [mm].
    """
    assert base.trunk is not None
    return max(at.z_mm for at in places if isinstance(at, TreePlace)) - base.trunk.from_mm


def find_tree(waxes: Sequence[TreeWax], base: Base) -> tuple[TreePlace, ...] | None:
    """Return places for waxes on one tree, or None if none were found.

    Parameters
    ----------
    waxes : sequence of TreeWax
        The waxes, in any order.
    base : Base
        The base, with its trunk.

    Returns
    -------
    tuple of TreePlace or None
        Places in the order of the waxes, accepted by `verify_tree.tree_faults`. None proves nothing.

    Notes
    -----
    Few tiers, then a short trunk. The answer depends on the set of waxes alone.

    Examples
    --------
    >>> from casting.calc.geometry.shapes import Trunk
    >>> tree = Base(101.6, 36, 6, 7, 3, Trunk(8, 6, 10, 124))
    >>> find_tree([TreeWax(Footprint(20, 6, 6.5), 30, 12.0)], tree)
    (TreePlace(x_mm=0.0, y_mm=20.003, turn_deg=90.0, z_mm=16.0, tier=1),)
    """
    order = sorted(range(len(waxes)), key=lambda i: waxes[i].rank)
    found = _tree(tuple(waxes[i] for i in order), base)
    if found is None:
        return None
    return tuple(place for _, place in sorted(zip(order, found, strict=True)))


@lru_cache(maxsize=20_000)
def _tree(waxes: tuple[TreeWax, ...], base: Base) -> tuple[TreePlace, ...] | None:
    trunk = base.trunk
    if trunk is None or not waxes or any(cannot_fit_alone(wax.footprint, base) for wax in waxes):
        return None
    rings = _Rings(waxes, base, STAND_OFF[-1])
    if trunk.from_mm + trunk.gap_mm + rings.least_height_mm() > trunk.to_mm + 0.001:
        return None
    best: list[list[int]] | None = None
    for nth, order in enumerate(_orders(waxes)):
        if best and nth > 1:
            break
        tiers = _evened(waxes, _filled(waxes, order, rings), rings)
        height_mm = _height(waxes, tiers, base)
        if trunk.from_mm + trunk.gap_mm + height_mm > trunk.to_mm + 0.001:
            continue
        if best is None or (len(tiers), height_mm) < (len(best), _height(waxes, best, base) - 0.001):
            best = tiers
    if best is None:
        return None
    places = _in_order(waxes, _stacked(waxes, best, base))
    return None if tree_faults(waxes, places, base) else places


def _orders(waxes: Sequence[TreeWax]) -> Iterator[list[int]]:
    """Orders of filling: tallest first, so that a tier's waxes are of one height; widest first; then random changes."""
    numbers = list(range(len(waxes)))
    yield sorted(numbers, key=lambda i: (-waxes[i].height_mm, -waxes[i].footprint.half_long_mm, i))
    if len(waxes) < 3 or len(set(waxes)) == 1:
        return
    yield sorted(numbers, key=lambda i: (-waxes[i].footprint.half_short_mm, -waxes[i].height_mm, i))
    chance = np.random.default_rng([round(1000 * wax.height_mm) for wax in waxes])
    for _ in range(SHUFFLES):
        shaken = chance.uniform(0.7, 1.0, len(waxes)).tolist()
        yield sorted(numbers, key=lambda i: (-waxes[i].height_mm * shaken[i], i))


def _filled(waxes: Sequence[TreeWax], order: Sequence[int], rings: _Rings) -> list[list[int]]:
    """First fit: each wax into the first tier that takes it and that it makes no taller, else into a new one."""
    tiers: list[list[int]] = []
    for number in order:
        for tier in tiers:
            lower = waxes[number].height_mm <= max(waxes[i].height_mm for i in tier) + 0.001
            if lower and rings.ring([*tier, number]):
                tier.append(number)
                break
        else:
            tiers.append([number])
    return tiers


def _evened(waxes: Sequence[TreeWax], tiers: list[list[int]], rings: _Rings) -> list[list[int]]:
    """The tiers, with waxes moved from the fullest to the emptiest while that makes none taller."""
    while True:
        full, empty = max(tiers, key=len), min(tiers, key=len)
        tallest_mm = max(waxes[i].height_mm for i in empty)
        moving = [i for i in full if waxes[i].height_mm <= tallest_mm + 0.001]
        if len(full) - len(empty) < 2 or not moving:
            return tiers
        grown = [*empty, moving[-1]]
        if not rings.ring(grown):
            return tiers
        full.remove(moving[-1])
        empty.append(moving[-1])


def _height(waxes: Sequence[TreeWax], tiers: Sequence[Sequence[int]], base: Base) -> float:
    """Height of the tiers, from the lowest face to the highest top [mm]."""
    return sum(max(waxes[i].height_mm for i in tier) for tier in tiers) + (len(tiers) - 1) * base.between_mm


def _stacked(waxes: Sequence[TreeWax], tiers: Sequence[Sequence[int]], base: Base) -> tuple[TreePlace, ...]:
    """Places of the tiers, the heaviest lowest, every second one turned by half a wax so that none is above another."""
    assert base.trunk is not None
    ordered = sorted(
        tiers,
        key=lambda tier: (
            -max(waxes[i].metal_g for i in tier),
            -sum(sorted(waxes[i].metal_g for i in tier)),
            -max(waxes[i].height_mm for i in tier),
            min(tier),
        ),
    )
    places: dict[int, TreePlace] = {}
    z_mm = base.trunk.from_mm + base.trunk.gap_mm
    for nth, tier in enumerate(ordered, start=1):
        ring = next(ring for off in STAND_OFF if (ring := _Rings(waxes, base, off).ring(tier)))
        start = math.pi / 2 + (0 if nth % 2 else math.pi / len(tier))
        at_mm = math.ceil(z_mm * 1000 - 1e-6) / 1000
        for number, stand, angle in zip(ring.numbers, ring.stands, ring.angles, strict=True):
            places[number] = _printed(stand, angle + start, at_mm, nth)
        z_mm = at_mm + max(waxes[i].height_mm for i in tier) + base.between_mm
    return tuple(places[number] for number in range(len(waxes)))


def _in_order(waxes: Sequence[TreeWax], places: Sequence[TreePlace]) -> tuple[TreePlace, ...]:
    """The same places, with equal waxes in order: tier by tier, and clockwise from the notch."""
    alike: dict[TreeWax, list[TreePlace]] = {}
    for wax, place in zip(waxes, places, strict=True):
        alike.setdefault(wax, []).append(place)
    for group in alike.values():
        group.sort(key=lambda at: (at.tier, round(math.atan2(at.x_mm, at.y_mm) % math.tau, 6)), reverse=True)
    return tuple(alike[wax].pop() for wax in waxes)


def _printed(stand: _Stand, angle: float, z_mm: float, tier: int) -> TreePlace:
    place = stand.place(angle)
    turn_deg = round((place.turn_deg + (90 if stand.turned else 0)) % 180, 3) % 180
    return TreePlace(round(place.x_mm, 3) + 0.0, round(place.y_mm, 3) + 0.0, turn_deg, round(z_mm, 3), tier)


def _round(ring: Sequence[int], angles: Sequence[Sequence[float]]) -> tuple[float, ...] | None:
    """Angles of shapes in this order, the remaining angle distributed evenly; None if they exceed a full turn."""
    neighbours = 0.0
    for one, other in pairwise(ring):
        neighbours += angles[one][other]
    if len(ring) > 1 and neighbours + angles[ring[0]][ring[-1]] > math.tau:
        return None
    found = [0.0]
    for number in range(1, len(ring)):
        of_this = angles[ring[number]]
        found.append(max(found[i] + of_this[ring[i]] for i in range(number)))
    used = max(
        (found[j] - found[i] + angles[ring[i]][ring[j]] for j in range(len(ring)) for i in range(j)),
        default=0.0,
    )
    if used > math.tau:
        return None
    share = (math.tau - used) / len(ring)
    return tuple(angle + number * share for number, angle in enumerate(found))


def _stands(footprints: Sequence[Footprint], base: Base, off: float) -> list[_Stand]:
    """Each wax with whichever side along the ring takes the smaller angle, at the distance `off` from the trunk."""
    ways = [_ways(footprint, base, off) for footprint in footprints]
    takes = iter(_least_angles([(stand, stand) for stands in ways for stand in stands], base))
    return [min(stands, key=lambda stand: (next(takes), stand.along_mm)) for stands in ways]


def _ways(footprint: Footprint, base: Base, off: float) -> list[_Stand]:
    """A wax with either side along the ring, if it then clears the wall."""
    assert base.trunk is not None
    least_mm = base.trunk.nearest_mm
    most_mm = base.trunk.thick_mm / 2 + NEAR_MOST_MM
    asked_mm = least_mm + off * (most_mm - least_mm)
    stands = []
    for along_mm, out_mm, turned in (
        (footprint.depth_mm, footprint.width_mm, False),
        (footprint.width_mm, footprint.depth_mm, True),
    ):
        usable_2 = (base.usable_mm(footprint) + 0.001) ** 2 - (along_mm / 2) ** 2
        by_wall_mm = math.sqrt(max(usable_2, 0.0)) - out_mm
        if by_wall_mm >= least_mm - 1e-9:
            near_mm = max(least_mm, min(asked_mm + TREE_SPARE, most_mm - TREE_SPARE, by_wall_mm - TREE_SPARE))
            stands.append(_Stand(along_mm, out_mm, near_mm, turned))
    return stands


def _least_angles(pairs: Sequence[tuple[_Stand, _Stand]], base: Base) -> list[float]:
    """The least angle between two waxes of a ring, by bisection, as their distance grows with the angle.

    At it the waxes keep their gap, and each is clear of the straight path from the other to the trunk.
    """
    one, other = (_figures([order(pair) for pair in pairs]) for order in (min, max))
    mine = np.concatenate([one, _way(one, base), one], axis=1)
    theirs = np.concatenate([other, other, _way(other, base)], axis=1)
    needed_mm = np.array([[base.between_mm], [base.clear_mm], [base.clear_mm]]) + TREE_SPARE
    low, high = np.zeros(len(pairs)), np.full(len(pairs), math.pi)
    for _ in range(HALVINGS):
        angle = (low + high) / 2
        clear = (_gap(mine, theirs, np.tile(angle, 3)).reshape(3, -1) >= needed_mm).all(axis=0)
        low, high = np.where(clear, low, angle), np.where(clear, angle, high)
    least: list[float] = high.tolist()
    return least


def _figures(stands: Sequence[_Stand]) -> Floats:
    """Half of the side along the ring, nearest and farthest side of each (figure, wax) [mm]."""
    figures = [(one.along_mm / 2, one.near_mm, one.near_mm + one.out_mm) for one in stands]
    return np.array(figures).reshape(-1, 3).T


def _way(figures: Floats, base: Base) -> Floats:
    """The straight path from each nearest side to the trunk, as a zero-width rectangle."""
    assert base.trunk is not None
    _, near_mm, _ = figures
    return np.stack([np.zeros_like(near_mm), np.full_like(near_mm, base.trunk.thick_mm / 2), near_mm])


def _gap(one: Floats, other: Floats, angle: Floats) -> Floats:
    """How far apart two rectangles are whose middles lie at an angle from the axis; 0 if they overlap."""
    cos, sin = np.cos(angle), np.sin(angle)
    least_mm, apart = np.full(len(angle), math.inf), np.zeros(len(angle), dtype=bool)
    for (half, low, high), (its_half, its_low, its_high), turn in ((one, other, sin), (other, one, -sin)):
        x, y = np.array([its_low, its_low, its_high, its_high]), np.array([its_half, -its_half, its_half, -its_half])
        outward, across = x * cos - y * turn, x * turn + y * cos
        apart |= (outward.min(axis=0) > high) | (outward.max(axis=0) < low)
        apart |= (across.min(axis=0) > half) | (across.max(axis=0) < -half)
        beyond, beside = np.maximum(low - outward, outward - high), np.abs(across) - half
        off_mm = np.hypot(np.maximum(beyond, 0.0), np.maximum(beside, 0.0))
        least_mm = np.minimum(least_mm, off_mm.min(axis=0))
    return np.where(apart, least_mm, 0.0)
