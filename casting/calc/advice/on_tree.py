"""A tree changed by hand: one wax more in a tier or on a spot of it, or one less; round the trunk the others stay.

Tiers are rings, so each keeps its waxes where they stand round the trunk; the tiers themselves are stacked anew, the
heaviest nearest the button, each as low as the one below lets it be.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from casting.calc.geometry.measure import tree_breaches
from casting.calc.geometry.shapes import TreeWax
from casting.calc.grouping.breaches import standing
from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.layout.tree import find_tree
from casting.calc.values.day_plan import Place, TreePlace
from casting.calc.values.placed import Breach, Rule
from casting.calc.values.tolerances import SLACK, TREE_SPARE

Tree = Mapping[str, TreePlace]
CLOCK, STEPS = 12, 48
"""Hours round the trunk, and the places round it that are tried for a wax: a quarter of an hour apart."""


@dataclass(frozen=True, slots=True)
class Hung:
    """A tree with one wax more, and what keeps the wax from there; with nothing of it, all of the tree holds."""

    places: Tree
    breaches: tuple[Breach, ...]


def tree_of(rules: FlaskRules, keys: frozenset[str], size: str) -> dict[str, Place] | None:
    """Return the program's own layout of a tree.

    Parameters
    ----------
    rules : FlaskRules
        The day's rules.
    keys : frozenset of str
        The waxes.
    size : str
        A size with a tree.

    Returns
    -------
    dict of str to Place, or None
        The program's tiers [mm, degrees]; None if none were found, or the charge is then too much.
    """
    names = sorted(keys)
    places = find_tree([_wax(rules, key) for key in names], rules.bases[size])
    found: dict[str, Place] | None = None if places is None else dict(zip(names, places, strict=True))
    return found if found and not standing(rules, found, size) else None


def _wax(rules: FlaskRules, key: str) -> TreeWax:
    item = rules.items[key]
    return TreeWax(item.footprint, item.wax.height_mm, item.metal_g)


def stacked(rules: FlaskRules, places: Tree, size: str) -> dict[str, TreePlace]:
    """Return the tiers of a tree stacked anew; round the trunk every wax stays where it is.

    Parameters
    ----------
    rules : FlaskRules
        The day's rules.
    places : mapping of str to TreePlace
        The waxes with their tiers, which may be numbered with gaps [mm, degrees].
    size : str
        A size with a tree.

    Returns
    -------
    dict of str to TreePlace
        The heaviest tier lowest, tiers as heavy in the order they had, none higher than it has to be.
    """
    base = rules.bases[size]
    assert base.trunk is not None
    tiers: dict[int, list[str]] = {}
    for key, at in sorted(places.items(), key=lambda one: (one[1].tier, one[0])):
        tiers.setdefault(at.tier, []).append(key)
    heaviest = {tier: max(rules.items[key].metal_g for key in keys) for tier, keys in tiers.items()}
    found: dict[str, TreePlace] = {}
    z_mm = base.trunk.from_mm + base.trunk.gap_mm
    for nth, tier in enumerate(sorted(tiers, key=lambda one: (-round(heaviest[one] / SLACK), one)), start=1):
        at_mm = math.ceil(z_mm * 1000 - 1e-6) / 1000
        found |= {key: replace(places[key], z_mm=at_mm, tier=nth) for key in tiers[tier]}
        z_mm = at_mm + max(rules.items[key].wax.height_mm for key in tiers[tier]) + base.between_mm
    return found


def without(rules: FlaskRules, left: Tree, size: str) -> Mapping[str, Place]:
    """Return what is left of a tree once waxes are gone.

    Parameters
    ----------
    rules : FlaskRules
        The day's rules.
    left : mapping of str to TreePlace
        The waxes that are left, where they stood [mm, degrees].
    size : str
        A size with a tree.

    Returns
    -------
    mapping of str to Place
        Where they stood round the trunk, in tiers stacked anew; the program's layout if that does not hold.
    """
    as_they_stood = stacked(rules, left, size)
    if not standing(rules, as_they_stood, size):
        return as_they_stood
    return tree_of(rules, frozenset(left), size) or as_they_stood


def hang(rules: FlaskRules, others: Tree, key: str, size: str, tier: int, spot: Place) -> Hung:
    """Return a tree with a wax on a spot of a tier.

    Parameters
    ----------
    rules : FlaskRules
        The day's rules.
    others : mapping of str to TreePlace
        The other waxes of the tree, where they stand [mm, degrees].
    key : str
        The wax.
    size : str
        A size with a tree.
    tier : int
        The tier as it is numbered among `others`; any other number makes a tier of its own.
    spot : Place
        Where it stands round the trunk [mm, degrees].

    Returns
    -------
    Hung
        All tiers stacked anew, and what they then lack: clearances, a height or a charge [mm, g].
    """
    places = stacked(rules, {**others, key: TreePlace(spot.x_mm, spot.y_mm, spot.turn_deg, 0.0, tier)}, size)
    trunk = rules.bases[size].trunk
    assert trunk is not None
    top_mm = max(at.z_mm + rules.items[one].wax.height_mm for one, at in places.items())
    lacks = [breach for breach in standing(rules, places, size) if breach.rule is not Rule.TIER]
    if top_mm > trunk.to_mm + SLACK:
        lacks.append(Breach(Rule.STACK, key, top_mm, trunk.to_mm))
    return Hung(places, tuple(lacks))


def at_clock(rules: FlaskRules, key: str, size: str, hour: float) -> tuple[Place, ...]:
    """Return where a wax can stand at an hour round the trunk, as near to it as may be.

    Parameters
    ----------
    rules : FlaskRules
        The day's rules.
    key : str
        The wax.
    size : str
        A size with a tree.
    hour : float
        From the notch, which is at 12, clockwise from the wax side [hours of a clock].

    Returns
    -------
    tuple of Place
        One side square to the trunk, the other, the longer one facing it first [mm, degrees].
    """
    item, trunk = rules.items[key], rules.bases[size].trunk
    assert trunk is not None
    angle = math.pi / 2 - math.tau * hour / CLOCK
    spots = []
    for out_mm, turned in sorted([(item.wax.width_mm, False), (item.wax.depth_mm, True)]):
        foot_mm = trunk.nearest_mm + TREE_SPARE + out_mm / 2
        turn_deg = round((math.degrees(angle) + 90 * turned) % 180, 3) % 180
        spots.append(Place(round(foot_mm * math.cos(angle), 3), round(foot_mm * math.sin(angle), 3), turn_deg))
    return tuple(spots)


def in_tier(rules: FlaskRules, others: Tree, key: str, size: str, tier: int) -> Hung | None:
    """Return a tree with a wax in a tier of it, at the first hour from the notch that has room.

    Parameters
    ----------
    rules, others, key, size, tier
        As of `hang`.

    Returns
    -------
    Hung or None
        None if no spot was found, which proves nothing. Its breaches are those that no spot of the tier can mend.
    """
    ring = {one: at for one, at in others.items() if at.tier == tier}
    for spot in _round(rules, key, size):
        if not _crowds(rules, ring, key, size, spot):
            return hang(rules, others, key, size, tier, spot)
    return None


def _round(rules: FlaskRules, key: str, size: str) -> Iterator[Place]:
    """Places round the trunk, the longer side facing it first."""
    hours = [at_clock(rules, key, size, CLOCK * nth / STEPS) for nth in range(STEPS)]
    return (spots[way] for way in (0, 1) for spots in hours)


def _crowds(rules: FlaskRules, ring: Tree, key: str, size: str, spot: Place) -> bool:
    """Whether a spot lacks a clearance to the trunk, the wall or the other waxes of its tier."""
    keys = [key, *ring]
    flat = [TreePlace(at.x_mm, at.y_mm, at.turn_deg, 0.0, 1) for at in (spot, *ring.values())]
    lacks = tree_breaches(keys, [_wax(rules, one) for one in keys], flat, rules.bases[size])
    return any(breach.rule is not Rule.TIER and key in (breach.key, breach.other) for breach in lacks)


def with_one_more(rules: FlaskRules, others: Tree, key: str, size: str) -> Mapping[str, Place] | None:
    """Return a tree with a wax more, the others round the trunk as they are if they can be.

    Parameters
    ----------
    rules, others, key, size
        As of `hang`.

    Returns
    -------
    mapping of str to Place, or None
        In the first tier that has room from the button up, else in a tier of its own, else as the program lays all of
        them out [mm, degrees]. None if no layout was found, which proves nothing.
    """
    tiers = sorted({at.tier for at in others.values()})
    for tier in (*tiers, max(tiers, default=0) + 1):
        hung = in_tier(rules, others, key, size, tier)
        if hung is not None and not hung.breaches:
            return hung.places
    return tree_of(rules, frozenset(others) | {key}, size)
