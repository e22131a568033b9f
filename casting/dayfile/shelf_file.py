"""The shelf and the elements of `fixtures/`, from which a day file takes what it leaves out."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from casting.calc.quantities.melt import ElementHeat

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"


@dataclass(frozen=True, slots=True)
class Defaults:
    """Defaults for keys that a flask size or a kiln leaves out."""

    hub_mm_by_diameter: tuple[tuple[float, float], ...]
    waxes_max_by_diameter: tuple[tuple[float, float], ...]
    cover_mm_least: float
    cover_share_of_diameter: float
    outside_over_inside_mm: float
    base_mm: float
    rim_mm: float
    kiln_wall_gap_mm: float
    trunk_mm: float
    trunk_gap_mm: float
    tree_cover_mm_least: float
    tree_waxes_max: int


@dataclass(frozen=True, slots=True)
class Shelf:
    """The school's shelf in day-file form, and the keys of the metals it offers."""

    values: Mapping[str, object]
    offered: frozenset[str]
    defaults: Defaults
    materials: Mapping[str, Mapping[str, bool | None]]
    """What each pattern material does in the kiln, by its key; None is not known."""

    @property
    def offered_alloys(self) -> list[dict[str, object]]:
        """The alloys that a day may use without listing them."""
        return [alloy for alloy in self.rows("alloys") if alloy["key"] in self.offered]

    def rows(self, key: str) -> list[dict[str, object]]:
        """The rows of one list of the shelf."""
        rows = self.values[key]
        assert isinstance(rows, list)
        return rows

    def price_of(self, key: str) -> object:
        """The price of the shelf's alloy of that key; None if there is none."""
        return next((row.get("price_per_g") for row in self.rows("alloys") if row["key"] == key), None)

    def one(self, key: str) -> dict[str, object]:
        """One object of the shelf."""
        value = self.values[key]
        assert isinstance(value, dict)
        return value


@cache
def shelf() -> Shelf:
    """Return the shelf as the fixture has it."""
    file = json.loads((FIXTURES / "shelf.json").read_text("utf-8"))
    materials = {row["key"]: row for row in [*file["materials"], *file["shelf"]["patterns"]]}
    return Shelf(file["shelf"], frozenset(file["offered"]), Defaults(**file["defaults"]), materials)


@cache
def densities() -> Mapping[str, float]:
    """Return the density of each element by its symbol [g/cm3]."""
    file = json.loads((FIXTURES / "elements.json").read_text("utf-8"))
    return {row["symbol"]: float(row["density_g_per_cm3"]) for row in file["elements"]}


@cache
def element_heats() -> Mapping[str, ElementHeat]:
    """Return the heat to melt an element by its symbol, for those that have one."""
    file = json.loads((FIXTURES / "elements.json").read_text("utf-8"))
    return {
        row["symbol"]: ElementHeat(row["solid_j_per_g_k"], row["fusion_j_per_g"], row["liquid_j_per_g_k"])
        for row in file["elements"]
        if "fusion_j_per_g" in row
    }
