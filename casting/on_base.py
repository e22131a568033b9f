"""A wax where it stands on its base, the tiers of a tree, and how near they come to each other and the wall."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from casting.calc.day import FlaskSize, Rules, Wax
from casting.calc.footprint import Footprint, gaps
from casting.calc.result import Place, TreePlace
from casting.calc.share import base_of
from casting.calc.words import Kind


@dataclass(frozen=True, slots=True)
class Named:
    """What people call a wax: its tag, whose it is, what it is."""

    tag: str
    student: str
    piece: str


@dataclass(frozen=True, slots=True)
class Part:
    """One material of a wax: the wax itself, or a sprue of another."""

    part_g: float
    specific_gravity: float
    kind: Kind


@dataclass(frozen=True, slots=True)
class WaxOnBase:
    """A wax where it stands on the sprue base, and the metal that takes its place."""

    wax: Wax
    name: Named
    place: Place
    parts: tuple[Part, ...]
    metal_g: float


@dataclass(frozen=True, slots=True)
class TrunkLine:
    """The trunk of a tree, from the top of the cone to the lower faces of the highest tier."""

    thick_mm: float
    long_mm: float
    metal_g: float


@dataclass(frozen=True, slots=True)
class Tier:
    """The waxes round a trunk at one height; tier 1 is nearest the button."""

    number: int
    z_mm: float
    waxes: tuple[WaxOnBase, ...]

    @property
    def top_mm(self) -> float:
        """The top of its tallest wax, over the flask's open end."""
        return self.z_mm + max(on_base.wax.height_mm for on_base in self.waxes)


def tiers_of(waxes: Sequence[WaxOnBase]) -> tuple[Tier, ...]:
    """Return the tiers of a tree, from the button up; none on a cone."""
    rings: dict[tuple[int, float], list[WaxOnBase]] = {}
    for on_base in waxes:
        if isinstance(on_base.place, TreePlace):
            rings.setdefault((on_base.place.tier, on_base.place.z_mm), []).append(on_base)
    return tuple(Tier(*ring, tuple(inside)) for ring, inside in sorted(rings.items(), key=lambda item: item[0]))


def outline_of(on_base: WaxOnBase) -> Footprint:
    """Return a wax seen from above; its wall is not asked for."""
    return Footprint(on_base.wax.width_mm, on_base.wax.depth_mm, 0.0)


def gaps_of(waxes: Sequence[WaxOnBase], size: FlaskSize, rules: Rules) -> tuple[float | None, float]:
    """Return the narrowest gap, None for a wax alone, and the narrowest wall; of a tree over all its tiers."""
    tiers, found = tiers_of(waxes), []
    for inside in [tier.waxes for tier in tiers] or [tuple(waxes)]:
        shapes = [Footprint(one.wax.width_mm, one.wax.depth_mm, rules.wall_mm) for one in inside]
        found.append(gaps(shapes, [one.place for one in inside], base_of(size, rules)))
    between = [gap for gap, _ in found if gap is not None]
    between += [upper.z_mm - lower.top_mm for lower, upper in pairwise(tiers)]
    return min(between, default=None), min(wall for _, wall in found)
