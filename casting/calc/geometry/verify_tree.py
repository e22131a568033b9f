"""Checks the layout of a tree exactly, in whole picometres. Shares no code with the search."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, pairwise, permutations
from math import isqrt

from casting.calc.geometry.exact import (
    ALLOW,
    MARGIN,
    Outline,
    Spot,
    is_beside,
    is_clear,
    lie_apart,
    needed_pm,
    outline_of,
    sides_of,
    square,
    to_pm,
)
from casting.calc.geometry.shapes import Base, TreeWax, Trunk
from casting.calc.geometry.verify import Fault, too_near, wall_faults
from casting.calc.values.day_plan import TreePlace
from casting.calc.values.placed import Rule
from casting.calc.values.tolerances import SLACK

NEAR_MOST_MM = 10.0
"""The longest feed sprue: the nearest face of a wax is at most this far from the trunk (school default)."""


def tree_faults(waxes: Sequence[TreeWax], places: Sequence[TreePlace], base: Base) -> tuple[str, ...]:
    """Return what is wrong with the layout of a tree; nothing if every rule of it holds.

    Parameters
    ----------
    waxes : sequence of TreeWax
        The waxes of one flask.
    places : sequence of TreePlace
        Their places as printed, in the same order.
    base : Base
        The base, with its trunk.

    Returns
    -------
    tuple of str
        One sentence per fault, waxes numbered from 1; lengths are compared with 0.001 mm, metal with 0.001 g.

    Raises
    ------
    ValueError
        If there are not as many places as waxes, or the base has no trunk.

    Examples
    --------
    >>> from casting.calc.geometry.shapes import Footprint
    >>> tree = Base(101.6, 36, 6, 7, 3, Trunk(8, 6, 10, 124))
    >>> ring = TreeWax(Footprint(20, 6, 6.5), 30, 12.0)
    >>> tree_faults([ring], [TreePlace(0, 13, 0, 16, 1)], tree)
    ()
    >>> tree_faults([ring], [TreePlace(0, 12, 0, 16, 1)], tree)
    ('Wax 1 is less than 6 mm from the trunk.',)
    """
    return tuple(fault.sentence for fault in tree_faults_of(waxes, places, base))


def tree_faults_of(waxes: Sequence[TreeWax], places: Sequence[TreePlace], base: Base) -> tuple[Fault, ...]:
    """Return what is wrong with the layout of a tree, rule by rule.

    Parameters
    ----------
    waxes, places : sequence
        The waxes of one flask, and their places as printed.
    base : Base
        The base, with its trunk.

    Returns
    -------
    tuple of Fault
        As `tree_faults`; a fault of a tier names its first wax.
    """
    trunk = base.trunk
    if trunk is None:
        raise ValueError("the base has no trunk")
    outlines = [outline_of(wax.footprint, place) for wax, place in zip(waxes, places, strict=True)]
    found = wall_faults([wax.footprint for wax in waxes], outlines, base)
    for number, outline in enumerate(outlines):
        found += _off_trunk(number, outline, trunk)
    tiers: dict[int, list[int]] = {}
    for number, place in enumerate(places):
        tiers.setdefault(place.tier, []).append(number)
    for tier in tiers.values():
        found += _within(tier, outlines, base, trunk)
    return tuple(found + _heights(waxes, places, tiers, base, trunk) + _heavy_first(waxes, tiers))


def _off_trunk(number: int, outline: Outline, trunk: Trunk) -> list[Fault]:
    """The axis is outside the wax, every side far enough from it, and at least one side near enough."""
    axis = (0, 0)
    least = to_pm(trunk.thick_mm) // 2 + needed_pm(trunk.gap_mm)
    most = to_pm(trunk.thick_mm) // 2 + to_pm(NEAR_MOST_MM) + MARGIN - ALLOW
    sides = sides_of(outline)
    if not (is_beside(outline, (axis,)) and all(is_clear(axis, *side, least) for side in sides)):
        sentence = f"Wax {number + 1} is less than {trunk.gap_mm:g} mm from the trunk."
        return [Fault(Rule.TRUNK_NEAR, number, None, sentence)]
    if all(is_clear(axis, *side, most) for side in sides):
        sentence = f"Wax {number + 1} is more than {NEAR_MOST_MM:g} mm from the trunk."
        return [Fault(Rule.TRUNK_FAR, number, None, sentence)]
    return []


def _within(tier: Sequence[int], outlines: Sequence[Outline], base: Base, trunk: Trunk) -> list[Fault]:
    found = []
    between, clear = needed_pm(base.between_mm), needed_pm(base.clear_mm)
    for one, other in combinations(tier, 2):
        if not lie_apart(outlines[one], outlines[other], between):
            found.append(too_near(one, other, base))
    for one, other in permutations(tier, 2):
        if not lie_apart(_way(outlines[one], trunk), outlines[other], clear):
            sentence = f"Wax {other + 1} is less than {base.clear_mm:g} mm from the sprue of wax {one + 1}."
            found.append(Fault(Rule.PATH, one, other, sentence))
    return found


def _way(outline: Outline, trunk: Trunk) -> Outline:
    """The straight path from the point nearest the axis to the trunk."""
    near = min((_nearest(*side) for side in sides_of(outline)), key=square)
    surface, far = to_pm(trunk.thick_mm) // 2, max(isqrt(square(near)), 1)
    return near, (near[0] * surface // far, near[1] * surface // far)


def _nearest(start: Spot, end: Spot) -> Spot:
    """The point of a side nearest the axis, truncated to whole picometres."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    along, length_2 = -(start[0] * dx + start[1] * dy), dx * dx + dy * dy
    if along <= 0:
        return start
    if along >= length_2:
        return end
    return start[0] + dx * along // length_2, start[1] + dy * along // length_2


def _tier(number: int, sentence: str) -> Fault:
    """A fault of a tier, told of its first wax."""
    return Fault(Rule.TIER, number, None, sentence)


def _heights(
    waxes: Sequence[TreeWax],
    places: Sequence[TreePlace],
    tiers: dict[int, list[int]],
    base: Base,
    trunk: Trunk,
) -> list[Fault]:
    if sorted(tiers) != list(range(1, len(tiers) + 1)):
        return [_tier(0, "The tiers are not numbered 1, 2, 3 and so on from the button.")]
    uneven = [tier[0] for tier in tiers.values() if len({to_pm(places[number].z_mm) for number in tier}) > 1]
    if uneven:
        return [_tier(uneven[0], "Waxes of one tier do not stand at one height.")]
    found = []
    if any(to_pm(places[i].z_mm) < to_pm(trunk.from_mm) + to_pm(trunk.gap_mm) - MARGIN for i in tiers[1]):
        found.append(_tier(tiers[1][0], f"The lowest tier is less than {trunk.gap_mm:g} mm over the cone."))
    tops_pm = [to_pm(place.z_mm) + to_pm(wax.height_mm) for wax, place in zip(waxes, places, strict=True)]
    tops = {tier: max(tops_pm[number] for number in inside) for tier, inside in tiers.items()}
    for lower, upper in pairwise(sorted(tiers)):
        if to_pm(places[tiers[upper][0]].z_mm) < tops[lower] + to_pm(base.between_mm) - MARGIN:
            sentence = f"Tier {upper} is less than {base.between_mm:g} mm over tier {lower}."
            found.append(_tier(tiers[upper][0], sentence))
    if max(tops.values()) > to_pm(trunk.to_mm) + MARGIN:
        found.append(_tier(tiers[max(tiers)][0], "The highest tier leaves too little cover."))
    return found


def _heavy_first(waxes: Sequence[TreeWax], tiers: dict[int, list[int]]) -> list[Fault]:
    heaviest = {tier: max(waxes[number].metal_g for number in inside) for tier, inside in tiers.items()}
    return [
        _tier(tiers[upper][0], f"Tier {upper} is heavier than tier {lower} below it.")
        for lower, upper in pairwise(sorted(tiers))
        if heaviest[upper] > heaviest[lower] + SLACK
    ]
