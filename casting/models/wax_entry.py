"""What a student enters for a wax, as a value between form, row and record of changes."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from casting.models.day import Wax
from casting.models.materials import Alloy, PatternMaterial


@dataclass(frozen=True, slots=True)
class WaxEntry:
    """What a student says of a wax: in g and mm, with the weights as typed."""

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

    def columns(self) -> dict[str, Any]:
        """The entry as columns of its row."""
        return {name: getattr(self, name) for name in self.__dataclass_fields__}


def recorded(entry: WaxEntry) -> dict[str, Any]:
    """The entry as it stands in the record of changes: plain values, materials by key."""
    values = entry.columns()
    for name, value in values.items():
        if isinstance(value, Decimal):
            values[name] = f"{value.normalize():f}"
        elif isinstance(value, Alloy | PatternMaterial):
            values[name] = value.key
    return values


def entry_of(wax: Wax) -> WaxEntry:
    """The entry that a row holds."""
    return WaxEntry(**{name: getattr(wax, name) for name in WaxEntry.__dataclass_fields__})
