"""Waxes on a tree: tiers of rings round a trunk, found quickly, kept only if `verify_tree` accepts them.

In a ring each wax turns one side square to the axis. Two neighbours need an angle between them;
a ring is full when its angles go once round. Which waxes share a tier is free: tiers are put in
order afterwards, the heaviest nearest the button.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from casting.calc.geometry.infeasibility import cannot_fit_alone
from casting.calc.geometry.shapes import Base, Footprint, TreeWax
from casting.calc.geometry.verify_tree import NEAR_MOST_MM, tree_faults
from casting.calc.values.day_plan import Place, TreePlace
from casting.calc.values.tolerances import TREE_SPARE

__all__ = ["TreeWax", "find_tree", "length_of"]

SHUFFLES = 8
"""Orders by chance that are tried where tiers filled in order do not suffice."""

HALVINGS = 14
"""An angle is found to 0.0002 radians: under 0.01 mm at the wall."""

STAND_OFF = (0.0, 0.25, 0.5, 0.75, 1.0)
"""How far from the least gap to the most a ring is set off the trunk, nearest first: sprues are kept short."""


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
    best: list[list[int]] | None = None
    for nth, order in enumerate(_orders(waxes)):
        if best and nth > 1:
            break
        tiers = _evened(waxes, _filled(waxes, order, base), base)
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
    """Tallest first, so that a tier's waxes are of a height; widest first; then tallest first, shaken."""
    numbers = list(range(len(waxes)))
    yield sorted(numbers, key=lambda i: (-waxes[i].height_mm, -waxes[i].footprint.half_long_mm, i))
    if len(waxes) < 3 or len(set(waxes)) == 1:
        return
    yield sorted(numbers, key=lambda i: (-waxes[i].footprint.half_short_mm, -waxes[i].height_mm, i))
    chance = np.random.default_rng([round(1000 * wax.height_mm) for wax in waxes])
    for _ in range(SHUFFLES):
        shaken = chance.uniform(0.7, 1.0, len(waxes)).tolist()
        yield sorted(numbers, key=lambda i: (-waxes[i].height_mm * shaken[i], i))


def _filled(waxes: Sequence[TreeWax], order: Sequence[int], base: Base) -> list[list[int]]:
    """Each wax in the first tier whose ring takes it and that it makes no taller, else in a new one."""
    tiers: list[list[int]] = []
    for number in order:
        for tier in tiers:
            lower = waxes[number].height_mm <= max(waxes[i].height_mm for i in tier) + 0.001
            if lower and _ring(waxes, [*tier, number], base, STAND_OFF[-1:]):
                tier.append(number)
                break
        else:
            tiers.append([number])
    return tiers


def _evened(waxes: Sequence[TreeWax], tiers: list[list[int]], base: Base) -> list[list[int]]:
    """The tiers with waxes moved from full ones to emptier ones that are as tall."""
    while True:
        full, empty = max(tiers, key=len), min(tiers, key=len)
        tallest_mm = max(waxes[i].height_mm for i in empty)
        moving = [i for i in full if waxes[i].height_mm <= tallest_mm + 0.001]
        if len(full) - len(empty) < 2 or not moving:
            return tiers
        grown = [*empty, moving[-1]]
        if not _ring(waxes, grown, base, STAND_OFF[-1:]):
            return tiers
        full.remove(moving[-1])
        empty.append(moving[-1])


def _height(waxes: Sequence[TreeWax], tiers: Sequence[Sequence[int]], base: Base) -> float:
    """From the lowest lower face to the highest top."""
    return sum(max(waxes[i].height_mm for i in tier) for tier in tiers) + (len(tiers) - 1) * base.between_mm


def _stacked(waxes: Sequence[TreeWax], tiers: Sequence[Sequence[int]], base: Base) -> tuple[TreePlace, ...]:
    """Tiers over one another, heaviest first, every second turned by half a wax so that none stands over another."""
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
        ring = _ring(waxes, tier, base, STAND_OFF)
        assert ring is not None
        start = math.pi / 2 + (0 if nth % 2 else math.pi / len(tier))
        at_mm = math.ceil(z_mm * 1000 - 1e-6) / 1000
        for number, stand, angle in zip(ring.numbers, ring.stands, ring.angles, strict=True):
            places[number] = _printed(stand, angle + start, at_mm, nth)
        z_mm = at_mm + max(waxes[i].height_mm for i in tier) + base.between_mm
    return tuple(places[number] for number in range(len(waxes)))


def _in_order(waxes: Sequence[TreeWax], places: Sequence[TreePlace]) -> tuple[TreePlace, ...]:
    """The same places, those of waxes alike in their order: tier by tier, and round the clock from the notch."""
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


def _ring(waxes: Sequence[TreeWax], tier: Sequence[int], base: Base, stand_off: Sequence[float]) -> _Ring | None:
    """A ring of these waxes, as near the trunk as goes; None if they do not go round once."""
    for off in stand_off:
        stands = {i: _stand(waxes[i].footprint, base, off) for i in tier}
        by_size = sorted(tier, key=lambda i: (-stands[i].along_mm, -stands[i].out_mm, i))
        half = (len(by_size) + 1) // 2
        mixed = [i for pair in zip(by_size[:half], [*by_size[half:], -1], strict=False) for i in pair if i >= 0]
        for order in (by_size, mixed):
            ring = [stands[i] for i in order]
            angles = _round(ring, base)
            if angles is not None:
                return _Ring(tuple(order), tuple(ring), angles)
    return None


def _round(ring: Sequence[_Stand], base: Base) -> tuple[float, ...] | None:
    """Angles for waxes in this order, with what is left over shared out; None if they go more than once round."""
    angles: list[float] = []
    for number, stand in enumerate(ring):
        angles.append(max((angles[i] + _between(ring[i], stand, base) for i in range(number)), default=0.0))
    used = max(
        (angles[j] - angles[i] + _between(ring[i], ring[j], base) for j in range(len(ring)) for i in range(j)),
        default=0.0,
    )
    if used > math.tau:
        return None
    share = (math.tau - used) / len(ring)
    return tuple(angle + number * share for number, angle in enumerate(angles))


@lru_cache(maxsize=20_000)
def _stand(footprint: Footprint, base: Base, off: float) -> _Stand:
    """The wax with the side along the ring that takes less of the round, so far off the trunk."""
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
    return min(stands, key=lambda stand: (_between(stand, stand, base), stand.along_mm))


def _between(one: _Stand, other: _Stand, base: Base) -> float:
    """The least angle between two waxes of a ring, the same whichever comes first."""
    return _angle(min(one, other), max(one, other), base)


@lru_cache(maxsize=50_000)
def _angle(one: _Stand, other: _Stand, base: Base) -> float:
    """By halving: farther round is farther apart."""
    low, high = 0.0, math.pi
    for _ in range(HALVINGS):
        angle = (low + high) / 2
        if _clear(one, other, angle, base):
            high = angle
        else:
            low = angle
    return high


def _clear(one: _Stand, other: _Stand, angle: float, base: Base) -> bool:
    """True if the waxes are apart, and each is clear of the straight way from the other to the trunk."""
    return (
        _gap(one, other, angle) >= base.between_mm + TREE_SPARE
        and _gap(_way(one, base), other, angle) >= base.clear_mm + TREE_SPARE
        and _gap(one, _way(other, base), angle) >= base.clear_mm + TREE_SPARE
    )


def _way(stand: _Stand, base: Base) -> _Stand:
    """The straight way from a near face to the trunk, as a rectangle without breadth."""
    assert base.trunk is not None
    surface_mm = base.trunk.thick_mm / 2
    return _Stand(0.0, stand.near_mm - surface_mm, surface_mm, False)


def _gap(one: _Stand, other: _Stand, angle: float) -> float:
    """How far apart two rectangles are whose middles lie at an angle from the axis; 0 if they overlap."""
    cos, sin = math.cos(angle), math.sin(angle)
    least_mm, apart = math.inf, False
    for mine, theirs, turn in ((one, other, sin), (other, one, -sin)):
        low, high, half = mine.near_mm, mine.near_mm + mine.out_mm, mine.along_mm / 2
        corners = [
            (x * cos - y * turn, x * turn + y * cos)
            for x in (theirs.near_mm, theirs.near_mm + theirs.out_mm)
            for y in (theirs.along_mm / 2, -theirs.along_mm / 2)
        ]
        outward, along = zip(*corners, strict=True)
        apart |= min(outward) > high or max(outward) < low or min(along) > half or max(along) < -half
        for x, y in corners:
            least_mm = min(least_mm, math.hypot(max(low - x, x - high, 0.0), max(abs(y) - half, 0.0)))
    return least_mm if apart else 0.0
