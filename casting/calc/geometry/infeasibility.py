"""Proofs that waxes fit no layout on a sprue base: bounds by length, angle and area."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import combinations

from casting.calc.geometry.ring_bound import annulus_area, discs_about, least_cover
from casting.calc.geometry.shapes import Base, Footprint, Point
from casting.calc.values.tolerances import EASE, PRINTED, SLACK

ENOUGH = 1.8
"""The ring bound is computed only where the grown waxes have this many times the area of the annulus; tried on days."""

EQUAL_CIRCLES = (
    1.0,
    2.0,
    2.154700538379251,
    2.414213562373095,
    2.701301616704079,
    3.0,
    3.0,
    3.304764870962486,
    3.613125929752753,
    3.813025631398124,
    3.923804400163087,
    4.029601930116183,
    4.236067977499789,
)
"""Least radius of a circle that holds 1, 2, ... 13 unit circles: proved (Graham 1968, Pirl 1969,
Melissen 1994, Fodor 2000 and 2003), cut off after the 15th place, so never above the true value."""


def from_axis_mm(footprint: Footprint, base: Base) -> float:
    """Return the least distance from the axis that a wax alone reaches.

    Parameters
    ----------
    footprint : Footprint
        The wax.
    base : Base
        The base.

    Returns
    -------
    float
        The least distance of its farthest corner [mm]: half its diagonal on a cone.

    Notes
    -----
    On a tree some line at `nearest_mm` = a from the axis has the wax beyond it. Whichever side or
    corner faces the axis, a corner then lies at least hypot(a + short, long/2) away, as far as with the
    long side facing the trunk: with another side first hypot(a + long, short/2), with a corner first
    more than hypot(a, long, short) with 2 a short beside, are no less.

    Examples
    --------
    >>> from casting.calc.geometry.shapes import Trunk
    >>> from_axis_mm(Footprint(24, 10, 6.5), Base(101.6, 36, 6, 7, 3, Trunk(8, 6, 10, 124)))
    23.323807579381203
    """
    if base.trunk is None:
        return footprint.half_diagonal_mm
    return math.hypot(base.trunk.nearest_mm + 2 * footprint.half_short_mm, footprint.half_long_mm)


def cannot_fit_alone(footprint: Footprint, base: Base) -> bool:
    """Tell whether a wax reaches beyond the usable circle at every place.

    Parameters
    ----------
    footprint : Footprint
        The wax.
    base : Base
        The base.

    Returns
    -------
    bool
        True if it reaches farther than `diameter/2 - wall`, with the margin of 0.001 mm.

    Examples
    --------
    >>> cannot_fit_alone(Footprint(38, 2, 6.5), Base(50.8, 19, 6, 7, 3))
    True
    """
    return from_axis_mm(footprint, base) > base.usable_mm(footprint) + SLACK


def foot_within(footprint: Footprint, base: Base) -> float:
    """Return an upper bound on the distance of a wax's foot from the axis.

    Parameters
    ----------
    footprint : Footprint
        The wax.
    base : Base
        The base.

    Returns
    -------
    float
        The bound [mm]; negative if the wax does not fit at all.

    Notes
    -----
    With the foot f from the axis and half sides l >= b, some corner lies at least
    sqrt((f + b)^2 + l^2) away: of the corners +-c1, +-c2 one has
    f.c >= f (|cos a| l + |sin a| b) >= f b. It is at most the usable radius. Reach bounds f too, unless it is
    overruled.
    """
    usable_mm = base.usable_mm(footprint) + PRINTED
    half_long_mm = footprint.half_long_mm
    if half_long_mm > usable_mm:
        return -1.0
    by_wall = math.sqrt(usable_mm**2 - half_long_mm**2) - footprint.half_short_mm
    return by_wall if footprint.any_reach else min(by_wall, base.hub_mm / 2 + base.reach_mm + PRINTED)


def cannot_share(footprints: Sequence[Footprint], base: Base, *, ring: bool = True) -> bool:
    """Tell whether it is proved that these waxes fit no layout on this base.

    Parameters
    ----------
    footprints : sequence of Footprint
        Waxes that are to share one flask.
    base : Base
        The base.
    ring : bool
        Whether the ring bound is used too, the only part that takes time.

    Returns
    -------
    bool
        True only if no layout exists. False proves nothing.

    Notes
    -----
    Around each foot lies a disc of half the short side b inside the wax, so discs of radius
    b + between/2 around the feet do not overlap. Hence two feet stand b1 + b2 + between apart,
    which `foot_within` bounds, and three need no more than a full turn (`_round_over`); and k
    equal discs of the least radius r of the k thickest waxes lie in a circle of (farthest foot + r),
    which must be at least r times EQUAL_CIRCLES, beyond that table r sqrt(k), by their areas. Last,
    the waxes grown by between/2 do not overlap and lie in the usable circle grown as much, so their
    areas add up to at most its area, and what they cover of a ring about the axis to at most that ring.
    """
    if len(footprints) == 1 or base.trunk:  # on a tree waxes stand over one another
        return any(cannot_fit_alone(one, base) for one in footprints)
    grow_mm = half_gap_mm(base)
    feet = sorted(((one.half_short_mm + grow_mm, foot_within(one, base)) for one in footprints), reverse=True)
    if min(within for _, within in feet) < 0 or any(
        one[0] + other[0] > one[1] + other[1] + 1e-9 for one, other in combinations(feet, 2)
    ):
        return True
    if any(_round_over(three) for three in combinations(feet, 3)):
        return True
    for count in range(2, len(feet) + 1):
        radius_mm = feet[count - 1][0]
        farthest_mm = max(within for _, within in feet[:count])
        least = EQUAL_CIRCLES[count - 1] if count <= len(EQUAL_CIRCLES) else math.sqrt(count)
        if farthest_mm + radius_mm < least * radius_mm - 1e-9:
            return True
    if sum(one.grown_mm2(grow_mm) for one in footprints) > grown_room_mm2(footprints, base):
        return True
    return ring and _ring_over(footprints, base, grow_mm)


def half_gap_mm(base: Base) -> float:
    """Return by how much waxes may be grown without overlap, in every layout that is accepted.

    Parameters
    ----------
    base : Base
        The base, for the gap between waxes.

    Returns
    -------
    float
        Half of the gap, less what an accepted layout may lack of it [mm].
    """
    return max((base.between_mm - PRINTED) / 2, 0.0)


def grown_room_mm2(footprints: Sequence[Footprint], base: Base) -> float:
    """Return the area that the grown waxes of a flask must lie in.

    Parameters
    ----------
    footprints : sequence of Footprint
        The waxes.
    base : Base
        The base, without a trunk.

    Returns
    -------
    float
        Area of the largest usable circle, grown as the waxes are by `half_gap_mm`, eased [mm2].
    """
    usable_mm = max(base.usable_mm(one) for one in footprints) + PRINTED
    return math.pi * (usable_mm + half_gap_mm(base)) ** 2 + EASE


@lru_cache(maxsize=20_000)
def ring_share(footprint: Footprint, base: Base) -> float:
    """Return a lower bound on the share of the annulus about the axis that a wax covers.

    Parameters
    ----------
    footprint : Footprint
        The wax.
    base : Base
        The base, without a trunk.

    Returns
    -------
    float
        The bound. The shares of waxes that share a flask add up to at most 1.
    """
    reach_mm = base.hub_mm / 2 + base.reach_mm
    foot_mm = foot_within(footprint, base)
    if reach_mm <= 0 or foot_mm <= 0 or footprint.any_reach:
        return 0.0
    discs = discs_about(reach_mm)
    sides_mm = 2 * footprint.half_long_mm, 2 * footprint.half_short_mm
    grow_mm = half_gap_mm(base)
    return least_cover(sides_mm, grow_mm, base.usable_mm(footprint) + PRINTED, foot_mm, discs) / annulus_area(discs)


def _ring_over(footprints: Sequence[Footprint], base: Base, grow_mm: float) -> bool:
    """True if the waxes cover more than the annulus. Skipped where their area cannot reach it."""
    discs = discs_about(base.hub_mm / 2 + base.reach_mm)
    if math.fsum(one.grown_mm2(grow_mm) for one in footprints) <= ENOUGH * annulus_area(discs):
        return False
    return math.fsum(ring_share(one, base) for one in footprints) > 1 + 1e-6


def _round_over(feet: Sequence[Point]) -> bool:
    """True if three feet, each (radius of its disc, largest distance from the axis), need more than a full turn.

    Two feet r and s from the axis, at an angle t there, are sqrt(r^2 + s^2 - 2 r s cos t) apart. That
    square is convex in (r, s), so at its largest where each is 0 or at its bound R or S. If they must
    stand d apart and d > R, d > S, only (R, S) will do: cos t <= (R^2 + S^2 - d^2) / (2 R S). The
    three angles between three rays add up to at most a full turn.
    """
    angles = 0.0
    for (one, far), (other, farther) in combinations(feet, 2):
        least = one + other
        if least <= max(far, farther):
            return False
        angles += math.acos(max(-1.0, min(1.0, (far**2 + farther**2 - least**2) / (2 * far * farther))))
    return angles > math.tau + 1e-9
