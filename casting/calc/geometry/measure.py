"""Measures how far a layout is from each clearance that the check finds missing."""

from __future__ import annotations

import math
from collections.abc import Sequence

from casting.calc.geometry.shapes import Base, Footprint, Point, TreeWax, Trunk, corners
from casting.calc.geometry.verify import Fault, faults_of
from casting.calc.geometry.verify_tree import NEAR_MOST_MM, tree_faults_of
from casting.calc.values.day_plan import Place, TreePlace
from casting.calc.values.placed import Breach, Rule

Outline = Sequence[Point]


def gap_mm(one: Outline, other: Outline) -> float:
    """Return the distance between two outlines.

    Parameters
    ----------
    one, other : sequence of (float, float)
        Corners of convex outlines in order, two for a line [mm].

    Returns
    -------
    float
        Least distance; 0 where they touch or overlap [mm].

    Examples
    --------
    >>> gap_mm([(0, 0), (2, 0), (2, 2), (0, 2)], [(5, 6), (5, 9)])
    5.0
    """
    if not (_is_beside(one, other) or _is_beside(other, one)):
        return 0.0
    return min(_to_sides(one, other), _to_sides(other, one))


def _is_beside(one: Outline, other: Outline) -> bool:
    """Whether some side of an outline, or the line through it, has the two on different sides."""
    for (ax, ay), (bx, by) in zip(one, [*one[1:], one[0]], strict=True):
        away_x, away_y = by - ay, ax - bx
        mine = [away_x * x + away_y * y for x, y in one]
        theirs = [away_x * x + away_y * y for x, y in other]
        if max(mine) < min(theirs) or max(theirs) < min(mine):
            return True
    if len(one) == 2:  # a line has no breadth: two that lie end to end are told apart along it
        (ax, ay), (bx, by) = one
        mine = [(bx - ax) * x + (by - ay) * y for x, y in one]
        theirs = [(bx - ax) * x + (by - ay) * y for x, y in other]
        return max(mine) < min(theirs) or max(theirs) < min(mine)
    return False


def _to_sides(spots: Outline, other: Outline) -> float:
    return min(_from_side(spot, *side) for spot in spots for side in zip(other, [*other[1:], other[0]], strict=True))


def _from_side(spot: Point, start: Point, end: Point) -> float:
    """Distance of a point from a line between two others."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    long_2 = dx * dx + dy * dy
    along = ((spot[0] - start[0]) * dx + (spot[1] - start[1]) * dy) / long_2 if long_2 else 0.0
    share = min(max(along, 0.0), 1.0)
    return math.hypot(spot[0] - start[0] - share * dx, spot[1] - start[1] - share * dy)


def layout_breaches(
    keys: Sequence[str], footprints: Sequence[Footprint], places: Sequence[Place], base: Base
) -> tuple[Breach, ...]:
    """Return the clearances that a layout lacks, with their figures.

    Parameters
    ----------
    keys : sequence of str
        The waxes of one flask.
    footprints, places : sequence
        Their shapes, and their places as printed, in the same order.
    base : Base
        The base they stand on, without a trunk.

    Returns
    -------
    tuple of Breach
        One for each fault that `verify` finds [mm]; none if the layout is accepted.

    Examples
    --------
    >>> two = [Footprint(20, 6, 6.5)] * 2
    >>> (gap,) = layout_breaches(["C3", "P4"], two, [Place(0, 6, 0), Place(0, -3, 0)], Base(63.5, 24, 6, 7, 3))
    >>> gap.rule.value, gap.has, gap.limit, gap.key, gap.other
    ('gap', 3.0, 6, 'C3', 'P4')
    """
    outlines = [corners(wax, place) for wax, place in zip(footprints, places, strict=True)]
    feet = [(place.x_mm, place.y_mm) for place in places]

    def measured(fault: Fault) -> tuple[float, float]:
        far_mm = math.hypot(*feet[fault.wax])
        if fault.rule is Rule.WALL:
            return base.diameter_mm / 2 - _farthest(outlines[fault.wax]), footprints[fault.wax].wall_mm
        if fault.rule is Rule.REACH:
            return far_mm, base.hub_mm / 2 + base.reach_mm
        if fault.other is None:
            return far_mm, 0.0
        if fault.rule is Rule.PATH:
            hub = base.hub_mm / 2 / far_mm
            path = feet[fault.wax], (feet[fault.wax][0] * hub, feet[fault.wax][1] * hub)
            return gap_mm(path, outlines[fault.other]), base.clear_mm
        return gap_mm(outlines[fault.wax], outlines[fault.other]), base.between_mm

    return tuple(_breach(fault, keys, *measured(fault)) for fault in faults_of(footprints, places, base))


def tree_breaches(
    keys: Sequence[str], waxes: Sequence[TreeWax], places: Sequence[TreePlace], base: Base
) -> tuple[Breach, ...]:
    """Return the clearances that the layout of a tree lacks, with their figures.

    Parameters
    ----------
    keys : sequence of str
        The waxes of one flask.
    waxes, places : sequence
        The waxes, and their places as printed, in the same order.
    base : Base
        The base, with its trunk.

    Returns
    -------
    tuple of Breach
        One for each fault that `verify_tree` finds [mm]; a tier's has no figures.
    """
    trunk = base.trunk
    outlines = [corners(wax.footprint, place) for wax, place in zip(waxes, places, strict=True)]

    def measured(fault: Fault, trunk: Trunk) -> tuple[float | None, float | None]:
        outline = outlines[fault.wax]
        near_mm = gap_mm(outline, [(0.0, 0.0), (0.0, 0.0)])
        if fault.rule is Rule.WALL:
            return base.diameter_mm / 2 - _farthest(outline), waxes[fault.wax].footprint.wall_mm
        if fault.rule in (Rule.TRUNK_NEAR, Rule.TRUNK_FAR):
            limit_mm = trunk.gap_mm if fault.rule is Rule.TRUNK_NEAR else NEAR_MOST_MM
            return max(near_mm - trunk.thick_mm / 2, 0.0), limit_mm
        if fault.other is None:
            return None, None
        if fault.rule is Rule.PATH:
            return gap_mm(_to_trunk(outline, trunk), outlines[fault.other]), base.clear_mm
        return gap_mm(outline, outlines[fault.other]), base.between_mm

    if trunk is None:
        raise ValueError("the base has no trunk")
    return tuple(_breach(fault, keys, *measured(fault, trunk)) for fault in tree_faults_of(waxes, places, base))


def _breach(fault: Fault, keys: Sequence[str], has: float | None, limit: float | None) -> Breach:
    return Breach(fault.rule, keys[fault.wax], has, limit, "" if fault.other is None else keys[fault.other])


def _farthest(outline: Outline) -> float:
    return max(math.hypot(*corner) for corner in outline)


def _to_trunk(outline: Outline, trunk: Trunk) -> Outline:
    """The sprue of a wax on a tree: from the point nearest the axis to the trunk."""
    sides = zip(outline, [*outline[1:], outline[0]], strict=True)
    near = min((_nearest(*side) for side in sides), key=lambda spot: math.hypot(*spot))
    share = trunk.thick_mm / 2 / max(math.hypot(*near), 1e-9)
    return near, (near[0] * share, near[1] * share)


def _nearest(start: Point, end: Point) -> Point:
    """The point of a side nearest the axis."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    share = min(max(-(start[0] * dx + start[1] * dy) / (dx * dx + dy * dy), 0.0), 1.0)
    return start[0] + share * dx, start[1] + share * dy
