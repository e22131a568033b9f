"""A student's entry for a wax as a value, shared by form, row and record of changes."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from casting.models.day import Wax
from casting.models.materials import Alloy, PatternMaterial


@dataclass(frozen=True, slots=True)
class WaxEntry:
    """A student's entry for a wax, in g and mm, with the weights as typed."""

    what: str
    alloy: Alloy
    pattern: PatternMaterial
    wax_g: Decimal
    entered: str
    entered_unit: str
    width_mm: Decimal
    depth_mm: Decimal
    height_mm: Decimal
    section: str
    base_entered: str = ""
    sprue_entered: str = ""
    own_metal: bool = False
    sprue_g: Decimal = Decimal(0)
    sprue_pattern: PatternMaterial | None = None
    stones: str = Wax.Stones.NONE.value
    thickest_mm: Decimal | None = None
    thick_parts: int | None = None
    second_alloy: Alloy | None = None
    note: str = ""

    def columns(self) -> dict[str, Any]:
        """Return the entry as columns of a wax."""
        return {name: getattr(self, name) for name in self.__dataclass_fields__}


def recorded(entry: WaxEntry) -> dict[str, Any]:
    """Return the entry as JSON values for the record of changes, with materials by key."""
    values = entry.columns()
    for name, value in values.items():
        if isinstance(value, Decimal):
            values[name] = f"{value.normalize():f}"
        elif isinstance(value, Alloy | PatternMaterial):
            values[name] = value.key
    return values


def entry_of(wax: Wax) -> WaxEntry:
    """Return the entry of a wax."""
    return WaxEntry(**{name: getattr(wax, name) for name in WaxEntry.__dataclass_fields__})
