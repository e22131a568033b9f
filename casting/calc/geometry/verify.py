"""Accept or refuse a layout, exactly, in whole picometres. Shares no code with the search.

A layout counts as it is printed: x and y to 0.001 mm, turn to 0.001 degrees. Turned corners are
irrational; they are worked out to under 2 picometres, and ALLOW more is asked of every clearance
than the margin leaves, so that nothing is accepted through rounding.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import combinations, permutations
from math import isqrt

from casting.calc.geometry.infeasibility import Base, Footprint
from casting.calc.values.day_plan import Place

PER_MM = 10**9
"""Picometres in a millimetre."""

MARGIN = PER_MM // 1000
"""What fits exactly fits: lengths are compared with 0.001 mm."""

ALLOW = 10
"""More than twice the rounding of a corner [pm]."""

ONE = 10**24
HALF_TURN = 3_141_592_653_589_793_238_462_643
"""Pi x ONE, cut off."""

Spot = tuple[int, int]
Outline = tuple[Spot, ...]


def faults(footprints: Sequence[Footprint], places: Sequence[Place], base: Base) -> tuple[str, ...]:
    """Return what is wrong with a layout; nothing if every clearance holds.

    Parameters
    ----------
    footprints : sequence of Footprint
        The waxes of one flask.
    places : sequence of Place
        Their places as printed, in the same order.
    base : Base
        The base they stand on.

    Returns
    -------
    tuple of str
        One sentence a fault, waxes numbered from 1; each length is compared with 0.001 mm.

    Raises
    ------
    ValueError
        If there are not as many places as waxes, or a place is no number.

    Examples
    --------
    >>> faults([Footprint(20, 6, 6.5)], [Place(0, 0, 30)], Base(63.5, 24, 6, 7, 3))
    ()
    >>> faults([Footprint(20, 6, 6.5)], [Place(1, 0, 30)], Base(63.5, 24, 6, 7, 3))
    ('Wax 1 stands alone and its foot is not on the axis.',)
    """
    outlines = [_outline(wax, place) for wax, place in zip(footprints, places, strict=True)]
    feet = [(_pm(place.x_mm), _pm(place.y_mm)) for place in places]
    found = [*_alone(feet), *_walls(footprints, outlines, base), *_reaches(feet, base)]
    between = _need(base.between_mm)
    for one, other in combinations(range(len(outlines)), 2):
        if not _apart(outlines[one], outlines[other], between):
            found.append(f"Waxes {one + 1} and {other + 1} are less than {base.between_mm:g} mm apart.")
    clear = _need(base.clear_mm)
    for one, other in permutations(range(len(outlines)), 2):
        path = _path(feet[one], base)
        if path and not _apart(path, outlines[other], clear):
            found.append(f"Wax {other + 1} is less than {base.clear_mm:g} mm from the path of wax {one + 1}.")
    return tuple(found)


def _alone(feet: Sequence[Spot]) -> list[str]:
    if len(feet) != 1 or _square(feet[0]) <= MARGIN**2:
        return []
    return ["Wax 1 stands alone and its foot is not on the axis."]


def _walls(footprints: Sequence[Footprint], outlines: Sequence[Outline], base: Base) -> list[str]:
    found = []
    for number, (wax, outline) in enumerate(zip(footprints, outlines, strict=True), start=1):
        usable = _pm(base.diameter_mm) // 2 - _pm(wax.wall_mm) + MARGIN - ALLOW
        if usable < 0 or max(map(_square, outline)) > usable**2:
            found.append(f"Wax {number} is less than {wax.wall_mm:g} mm from the wall.")
    return found


def _reaches(feet: Sequence[Spot], base: Base) -> list[str]:
    reach = _pm(base.hub_mm) // 2 + _pm(base.reach_mm) + MARGIN
    return [
        f"The foot of wax {number} is more than {base.reach_mm:g} mm off the cone."
        for number, foot in enumerate(feet, start=1)
        if _square(foot) > reach**2
    ]


def _pm(length_mm: float) -> int:
    return round(length_mm * PER_MM)


def _need(clearance_mm: float) -> int:
    return max(_pm(clearance_mm) - MARGIN, 0) + ALLOW


def _square(spot: Spot) -> int:
    return spot[0] * spot[0] + spot[1] * spot[1]


def _outline(footprint: Footprint, place: Place) -> Outline:
    """The four corners, anticlockwise, each within 2 picometres."""
    cos, sin = _cos_sin(round(place.turn_deg * 1000) % 360_000)
    x, y = _pm(place.x_mm), _pm(place.y_mm)
    half_w, half_d = (_pm(footprint.width_mm) + 1) // 2, (_pm(footprint.depth_mm) + 1) // 2
    return tuple(
        (x + (along * cos - across * sin) // ONE, y + (along * sin + across * cos) // ONE)
        for along, across in ((half_w, half_d), (-half_w, half_d), (-half_w, -half_d), (half_w, -half_d))
    )


@lru_cache(maxsize=4096)
def _cos_sin(millidegrees: int) -> tuple[int, int]:
    """Cosine and sine times ONE, by whole quarter turns and Taylor's series.

    Each of at most 30 terms is cut off by under 1 part, so both are within 100 parts of ONE.
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


def _path(foot: Spot, base: Base) -> Outline:
    """The straight way from a foot outside the hub to the hub; empty for a foot on it."""
    hub, far = _pm(base.hub_mm) // 2, isqrt(_square(foot))
    if far <= hub:
        return ()
    return foot, (foot[0] * hub // far, foot[1] * hub // far)


def _apart(one: Outline, other: Outline, need: int) -> bool:
    """True if two outlines lie apart and no point of them is nearer than `need`."""
    if not (_beside(one, other) or _beside(other, one)):
        return False
    return _corners_clear(one, other, need) and _corners_clear(other, one, need)


def _sides(outline: Outline) -> list[tuple[Spot, Spot]]:
    return [(outline[i - 1], outline[i]) for i in range(len(outline))]


def _beside(one: Outline, other: Outline) -> bool:
    """True if the line along one of the sides has all of the other strictly outside."""
    return any(
        all((bx - ax) * (y - ay) - (by - ay) * (x - ax) < 0 for x, y in other) for (ax, ay), (bx, by) in _sides(one)
    )


def _corners_clear(one: Outline, other: Outline, need: int) -> bool:
    return all(_point_clear(spot, *side, need) for side in _sides(one) for spot in other)


def _point_clear(spot: Spot, start: Spot, end: Spot, need: int) -> bool:
    """True if a point is at least `need` from the segment between two points."""
    px, py = spot[0] - start[0], spot[1] - start[1]
    dx, dy = end[0] - start[0], end[1] - start[1]
    along, length_2 = px * dx + py * dy, dx * dx + dy * dy
    if along <= 0:
        return px * px + py * py >= need * need
    if along >= length_2:
        return _square((spot[0] - end[0], spot[1] - end[1])) >= need * need
    cross = px * dy - py * dx
    return cross * cross >= need * need * length_2
