"""Checks the layout of a flask exactly, in whole picometres. Shares no code with the search.

The layout is checked as it is printed: x and y to 0.001 mm, turn to 0.001 degrees. Turned corners are
irrational; they are computed to under 2 picometres, and every clearance must be wider by ALLOW
than the margin leaves, so that rounding accepts nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, permutations
from math import isqrt

from casting.calc.geometry.exact import ALLOW, MARGIN, Outline, Spot, lie_apart, needed_pm, outline_of, square, to_pm
from casting.calc.geometry.shapes import Base, Footprint
from casting.calc.values.day_plan import Place
from casting.calc.values.placed import Rule


@dataclass(frozen=True, slots=True)
class Fault:
    """A clearance that does not hold: of which wax, and toward which other, numbered from 0; and a sentence."""

    rule: Rule
    wax: int
    other: int | None
    sentence: str


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
        One sentence per fault, waxes numbered from 1; each length is compared with 0.001 mm.

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
    return tuple(fault.sentence for fault in faults_of(footprints, places, base))


def faults_of(footprints: Sequence[Footprint], places: Sequence[Place], base: Base) -> tuple[Fault, ...]:
    """Return what is wrong with a layout, rule by rule.

    Parameters
    ----------
    footprints, places : sequence
        The waxes of one flask, and their places as printed.
    base : Base
        The base they stand on.

    Returns
    -------
    tuple of Fault
        As `faults`. A wax whose reach is overruled may stand at any distance from the cone.

    Examples
    --------
    >>> faults_of([Footprint(20, 6, 6.5)] * 2, [Place(0, 8, 0), Place(0, -3.5, 0)], Base(63.5, 24, 6, 7, 3))[0].rule
    <Rule.GAP: 'gap'>
    """
    outlines = [outline_of(wax, place) for wax, place in zip(footprints, places, strict=True)]
    feet = [(to_pm(place.x_mm), to_pm(place.y_mm)) for place in places]
    found = [*_alone(feet), *wall_faults(footprints, outlines, base), *_reaches(footprints, feet, base)]
    between = needed_pm(base.between_mm)
    for one, other in combinations(range(len(outlines)), 2):
        if not lie_apart(outlines[one], outlines[other], between):
            found.append(too_near(one, other, base))
    clear = needed_pm(base.clear_mm)
    for one, other in permutations(range(len(outlines)), 2):
        path = _path(feet[one], base)
        if path and not lie_apart(path, outlines[other], clear):
            sentence = f"Wax {other + 1} is less than {base.clear_mm:g} mm from the path of wax {one + 1}."
            found.append(Fault(Rule.PATH, one, other, sentence))
    return tuple(found)


def too_near(one: int, other: int, base: Base) -> Fault:
    """Return the fault of two waxes that stand too near to each other.

    Parameters
    ----------
    one, other : int
        Their numbers, from 0.
    base : Base
        The base, for the gap.

    Returns
    -------
    Fault
        The fault.
    """
    return Fault(Rule.GAP, one, other, f"Waxes {one + 1} and {other + 1} are less than {base.between_mm:g} mm apart.")


def _alone(feet: Sequence[Spot]) -> list[Fault]:
    if len(feet) != 1 or square(feet[0]) <= MARGIN**2:
        return []
    return [Fault(Rule.ALONE, 0, None, "Wax 1 stands alone and its foot is not on the axis.")]


def wall_faults(footprints: Sequence[Footprint], outlines: Sequence[Outline], base: Base) -> list[Fault]:
    """Return which waxes stand too near the wall.

    Parameters
    ----------
    footprints : sequence of Footprint
        The waxes of one flask.
    outlines : sequence of tuple of (int, int)
        Their corners, in the same order [pm].
    base : Base
        The base they stand on.

    Returns
    -------
    list of Fault
        One for each of them.
    """
    found = []
    for number, (wax, outline) in enumerate(zip(footprints, outlines, strict=True)):
        usable = to_pm(base.diameter_mm) // 2 - to_pm(wax.wall_mm) + MARGIN - ALLOW
        if usable < 0 or max(map(square, outline)) > usable**2:
            sentence = f"Wax {number + 1} is less than {wax.wall_mm:g} mm from the wall."
            found.append(Fault(Rule.WALL, number, None, sentence))
    return found


def _reaches(footprints: Sequence[Footprint], feet: Sequence[Spot], base: Base) -> list[Fault]:
    reach = to_pm(base.hub_mm) // 2 + to_pm(base.reach_mm) + MARGIN
    return [
        Fault(Rule.REACH, nth, None, f"The foot of wax {nth + 1} is more than {base.reach_mm:g} mm off the cone.")
        for nth, (wax, foot) in enumerate(zip(footprints, feet, strict=True))
        if square(foot) > reach**2 and not wax.any_reach
    ]


def _path(foot: Spot, base: Base) -> Outline:
    """The straight path from a foot outside the hub to the hub; empty for a foot on it."""
    hub, far = to_pm(base.hub_mm) // 2, isqrt(square(foot))
    if far <= hub:
        return ()
    return foot, (foot[0] * hub // far, foot[1] * hub // far)
