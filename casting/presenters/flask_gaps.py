"""The narrowest gaps of a flask, measured on its layout."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

from casting.calc.geometry.from_day import base_of
from casting.calc.geometry.shapes import Base, Footprint, gaps
from casting.calc.values.day_input import FlaskSize, Rules
from casting.calc.values.day_plan import Place
from casting.presenters.plan_sheet import WaxOnBase, tiers_of

LAYOUTS_KEPT = 1024
"""So many layouts stay measured in a process: the flasks of the days that people look at now."""


def gaps_of(waxes: Sequence[WaxOnBase], size: FlaskSize, rules: Rules) -> tuple[float | None, float]:
    """Return the narrowest gap, None for a wax alone, and the narrowest wall; of a tree over all its tiers."""
    tiers, found = tiers_of(waxes), []
    for inside in [tier.waxes for tier in tiers] or [tuple(waxes)]:
        shapes = [Footprint(one.wax.width_mm, one.wax.depth_mm, rules.wall_mm) for one in inside]
        found.append(_measured(tuple(shapes), tuple(one.place for one in inside), base_of(size, rules)))
    between = [gap for gap, _ in found if gap is not None]
    between += [upper.z_mm - lower.top_mm for lower, upper in pairwise(tiers)]
    return min(between, default=None), min(wall for _, wall in found)


@lru_cache(maxsize=LAYOUTS_KEPT)
def _measured(shapes: tuple[Footprint, ...], places: tuple[Place, ...], base: Base) -> tuple[float | None, float]:
    return gaps(shapes, places, base)
