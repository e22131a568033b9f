"""The order in which pieces are sawn off their button: from one that nobody mistakes, clockwise as the saw sees it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from casting.calc.layout.tidy import ALIKE_MM, ALIKE_SHARE
from casting.calc.values.day_plan import Place, TreePlace


@dataclass(frozen=True, slots=True)
class Standing:
    """A piece where it stands: its place as seen from the wax side, its sides and height [mm], its metal [g]."""

    place: Place
    width_mm: float
    depth_mm: float
    height_mm: float
    metal_g: float


def cutting_order(pieces: Mapping[str, Standing]) -> tuple[list[str], bool]:
    """Return the order in which pieces are cut, and whether nobody can mistake the first.

    Parameters
    ----------
    pieces : mapping of str to Standing
        The pieces of a flask by tag.

    Returns
    -------
    tuple of list of str and bool
        The tags, and whether the first is unlike every other of its tier. Seen from the button side, so mirrored, the
        others follow clockwise. On a tree the tier farthest from the button is cut first, then the next.
    """
    tiers: dict[int, dict[str, Standing]] = {}
    for tag, piece in pieces.items():
        tier = piece.place.tier if isinstance(piece.place, TreePlace) else 1
        tiers.setdefault(tier, {})[tag] = piece
    order, known = [], True
    for _tier, inside in sorted(tiers.items(), reverse=True):
        first, unlike = _least_mistaken(inside)
        begin = _clockwise(inside[first])
        order += sorted(inside, key=lambda tag: ((_clockwise(inside[tag]) - begin) % 360, tag))
        known = known and unlike
    return order, known


def _clockwise(piece: Standing) -> float:
    """The angle from the notch, clockwise as seen from the button side [degrees]; 0 on the axis."""
    return math.degrees(math.atan2(-piece.place.x_mm, piece.place.y_mm)) % 360


def _least_mistaken(inside: Mapping[str, Standing]) -> tuple[str, bool]:
    """The piece least like any other, of equals the heaviest; and whether it is unlike them all."""
    apart = {
        tag: min((_apart(one, other) for key, other in inside.items() if key != tag), default=math.inf)
        for tag, one in inside.items()
    }
    first = max(sorted(inside), key=lambda tag: (apart[tag], inside[tag].metal_g))
    return first, apart[first] > 1


def _apart(one: Standing, other: Standing) -> float:
    """How unlike two pieces look: over 1 if a side, the height or the metal differs by more than a caster overlooks."""
    sides = zip(sorted((one.width_mm, one.depth_mm)), sorted((other.width_mm, other.depth_mm)), strict=True)
    lengths_mm = [*(abs(mine - theirs) for mine, theirs in sides), abs(one.height_mm - other.height_mm)]
    metal = abs(one.metal_g - other.metal_g) / max(one.metal_g, other.metal_g)
    return max(max(lengths_mm) / ALIKE_MM, metal / ALIKE_SHARE)
