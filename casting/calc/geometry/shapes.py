"""Waxes as rectangles seen from above, the sprue base they stand on, and the distances between them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from casting.calc.values.day_plan import Place

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Footprint:
    """A wax seen from above, and the distance it keeps from the wall of the flask.

    `any_reach`: its foot may stand farther from the cone than the reach.
    """

    width_mm: float
    depth_mm: float
    wall_mm: float
    any_reach: bool = False

    @property
    def half_diagonal_mm(self) -> float:
        """From the foot to a corner."""
        return math.hypot(self.width_mm, self.depth_mm) / 2

    @property
    def half_short_mm(self) -> float:
        """From the foot to the nearest side."""
        return min(self.width_mm, self.depth_mm) / 2

    @property
    def half_long_mm(self) -> float:
        """From the foot to the farther sides."""
        return max(self.width_mm, self.depth_mm) / 2

    def grown_mm2(self, by_mm: float) -> float:
        """Area of the rectangle and of all that is within a distance of it, by Steiner's formula [mm2]."""
        return self.width_mm * self.depth_mm + 2 * (self.width_mm + self.depth_mm) * by_mm + math.pi * by_mm**2


@dataclass(frozen=True, slots=True)
class Trunk:
    """The trunk of a tree: waxes are `gap_mm` or more from it, between `from_mm` and `to_mm` above the open end."""

    thick_mm: float
    gap_mm: float
    from_mm: float
    to_mm: float

    @property
    def nearest_mm(self) -> float:
        """The least distance of a wax from the axis."""
        return self.thick_mm / 2 + self.gap_mm


@dataclass(frozen=True, slots=True)
class Base:
    """A sprue base in its flask, with the clearances of the house rules; with a trunk, a tree."""

    diameter_mm: float
    hub_mm: float
    between_mm: float
    reach_mm: float
    clear_mm: float
    trunk: Trunk | None = None

    def usable_mm(self, footprint: Footprint) -> float:
        """Largest distance of the footprint's corners from the axis."""
        return self.diameter_mm / 2 - footprint.wall_mm


@dataclass(frozen=True, slots=True)
class TreeWax:
    """A wax for a tree: from above without its sprue, along the axis, and its metal."""

    footprint: Footprint
    height_mm: float
    metal_g: float

    @property
    def rank(self) -> tuple[float, ...]:
        """A key that sorts waxes by all that a layout depends on."""
        one = self.footprint
        return -self.height_mm, -one.half_long_mm, -one.half_short_mm, -self.metal_g, one.wall_mm, one.width_mm


def corners(footprint: Footprint, place: Place) -> tuple[Point, Point, Point, Point]:
    """Return the corners of a wax at a place.

    Parameters
    ----------
    footprint : Footprint
        The wax from above [mm].
    place : Place
        Position of its foot, and its turn [mm, degrees].

    Returns
    -------
    tuple of four (float, float)
        Corners, anticlockwise [mm].

    Examples
    --------
    >>> corners(Footprint(20, 6, 6.5), Place(1, 2, 0))
    ((11.0, 5.0), (-9.0, 5.0), (-9.0, -1.0), (11.0, -1.0))
    """
    turn = math.radians(place.turn_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    half_w, half_d = footprint.width_mm / 2, footprint.depth_mm / 2

    def corner(along: int, across: int) -> Point:
        x, y = along * half_w, across * half_d
        return place.x_mm + x * cos - y * sin, place.y_mm + x * sin + y * cos

    return corner(1, 1), corner(-1, 1), corner(-1, -1), corner(1, -1)


def _to_wax(point: Point, footprint: Footprint, place: Place) -> float:
    """Distance from a point to a wax; 0 inside."""
    turn = math.radians(place.turn_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    x, y = point[0] - place.x_mm, point[1] - place.y_mm
    over_w = abs(x * cos + y * sin) - footprint.width_mm / 2
    over_d = abs(y * cos - x * sin) - footprint.depth_mm / 2
    return math.hypot(max(over_w, 0.0), max(over_d, 0.0))


def apart(one: Footprint, at: Place, other: Footprint, other_at: Place) -> float:
    """Return the distance between two waxes that do not overlap.

    Parameters
    ----------
    one, other : Footprint
        The waxes from above [mm].
    at, other_at : Place
        Their places.

    Returns
    -------
    float
        Least distance between their outlines [mm].

    Notes
    -----
    Two rectangles apart are nearest at a corner of one of them.

    Examples
    --------
    >>> apart(Footprint(20, 6, 6.5), Place(0, 0, 0), Footprint(20, 6, 6.5), Place(0, 12, 0))
    6.0
    """
    here = min(_to_wax(corner, other, other_at) for corner in corners(one, at))
    there = min(_to_wax(corner, one, at) for corner in corners(other, other_at))
    return min(here, there)


def gaps(footprints: Sequence[Footprint], places: Sequence[Place], base: Base) -> tuple[float | None, float]:
    """Return the narrowest gap between waxes and the narrowest wall.

    Parameters
    ----------
    footprints : sequence of Footprint
        The waxes of one flask, at least one.
    places : sequence of Place
        Their places, in the same order.
    base : Base
        Their base.

    Returns
    -------
    tuple of (float or None, float)
        Gap, None for a wax alone, and wall [mm].
    """
    waxes = list(zip(footprints, places, strict=True))
    between = [apart(*one, *other) for one, other in combinations(waxes, 2)]
    farthest = max(math.hypot(*corner) for wax in waxes for corner in corners(*wax))
    return min(between, default=None), base.diameter_mm / 2 - farthest
