"""Small values of a plan sheet: a material of a wax, a trunk, a metal with what is still to be weighed out of it."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from casting.calc.values.enums import Kind


@dataclass(frozen=True, slots=True)
class Part:
    """One material of a wax: the wax itself, or a sprue of another."""

    part_g: float
    specific_gravity: float
    kind: Kind
    from_memory: Collection[str] = ()


@dataclass(frozen=True, slots=True)
class TrunkLine:
    """The trunk of a tree, from the top of the cone to the lower faces of the highest tier."""

    thick_mm: float
    long_mm: float
    metal_g: float


@dataclass(frozen=True, slots=True)
class MetalLine:
    """One metal by its name: what is still to be weighed out of it, and what is in poured flasks.

    `lost` are flasks that take no metal any more. `brought_for` are those that wait for a student's own metal; without
    any it is the school's.
    """

    name: str
    to_weigh_g: float
    poured_g: float
    poured: tuple[str, ...]
    brought_for: tuple[str, ...] = ()
    lost: tuple[str, ...] = ()
