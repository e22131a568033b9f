"""Plane geometry in whole picometres: corners of turned rectangles, and distances compared exactly."""

from __future__ import annotations

from functools import lru_cache

from casting.calc.geometry.shapes import Footprint
from casting.calc.values.day_plan import Place
from casting.calc.values.tolerances import PER_MM, SLACK

MARGIN = round(SLACK * PER_MM)
"""SLACK in picometres: what fits exactly fits."""

ALLOW = 10
"""More than twice the rounding of a corner [pm]."""

ONE = 10**24
HALF_TURN = 3_141_592_653_589_793_238_462_643
"""Pi x ONE, truncated."""

Spot = tuple[int, int]
Outline = tuple[Spot, ...]


def to_pm(length_mm: float) -> int:
    """Return a length in whole picometres.

    Parameters
    ----------
    length_mm : float
        A length [mm].

    Returns
    -------
    int
        The nearest whole number [pm].

    Examples
    --------
    >>> to_pm(6.5)
    6500000000
    """
    return round(length_mm * PER_MM)


def needed_pm(clearance_mm: float) -> int:
    """Return the distance that a clearance asks of two outlines.

    Parameters
    ----------
    clearance_mm : float
        The clearance of the house rules [mm].

    Returns
    -------
    int
        The clearance less MARGIN, plus ALLOW for the rounding of corners [pm].

    Examples
    --------
    >>> needed_pm(6)
    5999000010
    """
    return max(to_pm(clearance_mm) - MARGIN, 0) + ALLOW


def square(spot: Spot) -> int:
    """Return the squared distance of a point from the axis.

    Parameters
    ----------
    spot : tuple of (int, int)
        The point [pm].

    Returns
    -------
    int
        Squared distance [pm2].

    Examples
    --------
    >>> square((3, 4))
    25
    """
    return spot[0] * spot[0] + spot[1] * spot[1]


def outline_of(footprint: Footprint, place: Place) -> Outline:
    """Return the corners of a wax that stands at a place.

    Parameters
    ----------
    footprint : Footprint
        The wax from above [mm].
    place : Place
        Its place as printed [mm, degrees].

    Returns
    -------
    tuple of four (int, int)
        Corners, anticlockwise, each within 2 picometres [pm].

    Examples
    --------
    >>> outline_of(Footprint(0.002, 0.001, 6.5), Place(0, 0, 90))[0]
    (-500000, 1000000)
    """
    cos, sin = cos_sin(round(place.turn_deg * 1000) % 360_000)
    x, y = to_pm(place.x_mm), to_pm(place.y_mm)
    half_w, half_d = (to_pm(footprint.width_mm) + 1) // 2, (to_pm(footprint.depth_mm) + 1) // 2
    return tuple(
        (x + (along * cos - across * sin) // ONE, y + (along * sin + across * cos) // ONE)
        for along, across in ((half_w, half_d), (-half_w, half_d), (-half_w, -half_d), (half_w, -half_d))
    )


@lru_cache(maxsize=4096)
def cos_sin(millidegrees: int) -> tuple[int, int]:
    """Return the cosine and the sine of an angle.

    Parameters
    ----------
    millidegrees : int
        The angle, 0 or more [0.001 degrees].

    Returns
    -------
    tuple of (int, int)
        Cosine and sine, times ONE.

    Notes
    -----
    Whole quarter turns, then Taylor's series. Each of its at most 30 terms is truncated by under 1 part,
    so both are within 100 parts of ONE.

    Examples
    --------
    >>> cos_sin(90_000) == (0, ONE)
    True
    """
    quarters, rest = divmod(millidegrees, 90_000)
    angle = HALF_TURN * rest // 180_000
    sums, term, power = [0, 0], ONE, 0
    while term:
        sums[power % 2] += -term if power % 4 > 1 else term
        power += 1
        term = term * angle // (ONE * power)
    cos, sin = sums
    for _ in range(quarters):
        cos, sin = -sin, cos
    return cos, sin


def lie_apart(one: Outline, other: Outline, need: int) -> bool:
    """Tell whether two outlines do not overlap and keep a distance.

    Parameters
    ----------
    one, other : tuple of (int, int)
        Corners of convex outlines, anticlockwise [pm].
    need : int
        The distance [pm].

    Returns
    -------
    bool
        True if no point of one is nearer than `need` to a point of the other.

    Examples
    --------
    >>> lie_apart(((0, 0), (2, 0), (2, 2), (0, 2)), ((5, 0), (7, 0), (7, 2), (5, 2)), 3)
    True
    """
    for mine, theirs in zip(zip(*one, strict=True), zip(*other, strict=True), strict=True):
        if max(min(theirs) - max(mine), min(mine) - max(theirs)) >= max(need, 1):
            return True
    if not (is_beside(one, other) or is_beside(other, one)):
        return False
    return _corners_clear(one, other, need) and _corners_clear(other, one, need)


def sides_of(outline: Outline) -> list[tuple[Spot, Spot]]:
    """Return the sides of an outline.

    Parameters
    ----------
    outline : tuple of (int, int)
        Corners in order [pm].

    Returns
    -------
    list of ((int, int), (int, int))
        Start and end of each side, the one that ends at the first corner first [pm].

    Examples
    --------
    >>> sides_of(((0, 0), (2, 0), (2, 2)))
    [((2, 2), (0, 0)), ((0, 0), (2, 0)), ((2, 0), (2, 2))]
    """
    return [(outline[i - 1], outline[i]) for i in range(len(outline))]


def is_beside(one: Outline, other: Outline) -> bool:
    """Tell whether the line along a side of an outline separates it from another.

    Parameters
    ----------
    one : tuple of (int, int)
        Corners of a convex outline, anticlockwise [pm].
    other : tuple of (int, int)
        Corners of the other [pm].

    Returns
    -------
    bool
        True if all of the other lies strictly outside one side of the first.

    Examples
    --------
    >>> is_beside(((0, 0), (2, 0), (2, 2), (0, 2)), ((2, 1),))
    False
    """
    return any(
        all((bx - ax) * (y - ay) - (by - ay) * (x - ax) < 0 for x, y in other) for (ax, ay), (bx, by) in sides_of(one)
    )


def _corners_clear(one: Outline, other: Outline, need: int) -> bool:
    return all(is_clear(spot, *side, need) for side in sides_of(one) for spot in other)


def is_clear(spot: Spot, start: Spot, end: Spot, need: int) -> bool:
    """Tell whether a point keeps a distance from a segment.

    Parameters
    ----------
    spot, start, end : tuple of (int, int)
        The point, and the ends of the segment [pm].
    need : int
        The distance [pm].

    Returns
    -------
    bool
        True if the point is at least `need` from the segment.

    Examples
    --------
    >>> is_clear((1, 3), (0, 0), (2, 0), 3), is_clear((1, 3), (0, 0), (2, 0), 4)
    (True, False)
    """
    px, py = spot[0] - start[0], spot[1] - start[1]
    dx, dy = end[0] - start[0], end[1] - start[1]
    along, length_2 = px * dx + py * dy, dx * dx + dy * dy
    if along <= 0:
        return px * px + py * py >= need * need
    if along >= length_2:
        return square((spot[0] - end[0], spot[1] - end[1])) >= need * need
    cross = px * dy - py * dx
    return cross * cross >= need * need * length_2
