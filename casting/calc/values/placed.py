"""Flasks that a teacher makes by hand, and the rules that a wax or its spot in one may break."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from casting.calc.values.day_plan import FlaskPlan, Place


@dataclass(frozen=True, slots=True)
class PlacedWax:
    """A wax put into a flask by hand; without a spot the program lays it out around those that have one."""

    key: str
    spot: Place | None = None


@dataclass(frozen=True, slots=True)
class PlacedFlask:
    """A flask made by hand: its label and size stay, and its waxes stay in it.

    `whole` is exactly these waxes; otherwise the search may add others.
    """

    label: str
    size: str
    waxes: tuple[PlacedWax, ...]
    whole: bool = True

    @property
    def keys(self) -> frozenset[str]:
        """Its waxes."""
        return frozenset(wax.key for wax in self.waxes)

    @property
    def spots(self) -> Mapping[str, Place]:
        """The spots that were given, by wax."""
        return {wax.key: wax.spot for wax in self.waxes if wax.spot is not None}

    @property
    def is_laid_out(self) -> bool:
        """Whether it is whole and every wax has a spot, so that nothing is left to search for."""
        return self.whole and len(self.spots) == len(self.waxes)


def placed_as_planned(flasks: Iterable[FlaskPlan]) -> tuple[PlacedFlask, ...]:
    """Return the flasks of a plan as if a teacher had made each of them by hand.

    Parameters
    ----------
    flasks : iterable of FlaskPlan
        Flasks of a plan.

    Returns
    -------
    tuple of PlacedFlask
        Whole flasks, every wax at its spot, sorted by key.
    """
    return tuple(
        PlacedFlask(flask.label, flask.size, tuple(PlacedWax(key, flask.places[key]) for key in sorted(flask.places)))
        for flask in flasks
    )


class Rule(StrEnum):
    """What keeps a wax out of a flask, or off a spot in it."""

    FIXED = "fixed"
    """The flask is invested or poured."""
    STOPPED = "stopped"
    """The wax goes into no flask at all, whatever its size."""
    METAL = "metal"
    OWNER = "owner"
    KIND = "kind"
    SECTIONS = "sections"
    HEIGHT = "height"
    WIDTH = "width"
    """From corner to corner on a cone, from the axis on a tree."""
    PLACES = "places"
    CRUCIBLE = "crucible"
    TORCH = "torch"
    STOCK = "stock"
    KILN = "kiln"
    NO_ROOM = "no_room"
    """It is proved that no layout exists."""
    GAP = "gap"
    WALL = "wall"
    REACH = "reach"
    PATH = "path"
    ALONE = "alone"
    """A wax alone does not stand with its foot on the axis."""
    TRUNK_NEAR = "trunk_near"
    TRUNK_FAR = "trunk_far"
    TIER = "tier"
    """A tier of a tree is too low, too high, too heavy for its place or too near the next."""
    STACK = "stack"
    """The tiers of a tree, stacked as low as can be, leave too little cover."""


@dataclass(frozen=True, slots=True)
class Breach:
    """A rule that a wax breaks in a flask: what it has, what is needed or allowed, and the other wax.

    Lengths in mm, charges in g, places and flasks as numbers, sections in steps; None where the rule has no figure.
    `mine` and `theirs` are what differs: keys of alloys, owners, kinds, sections. `key` is the wax itself.
    """

    rule: Rule
    key: str
    has: float | None = None
    limit: float | None = None
    other: str = ""
    mine: str = ""
    theirs: str = ""
