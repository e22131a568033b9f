"""The few values that the checks are worked on; everything else comes from the row."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from casting.calc.values.day_input import Alloy, FlaskSize, Investment, Rules
from casting.calc.values.enums import Powder, Section

FIXTURES = Path(__file__).parents[2] / "fixtures"
MM_PER_IN = 25.4
G_PER_DWT = 1.55517384
"""Exact: 24 grains of 64.79891 mg."""
G_PER_LB = 453.59237


def investment(water_per_100: float = 40, specific_gravity: float = 2.53, allowance_pct: float = 0) -> Investment:
    """A gypsum powder."""
    return Investment("gypsum", Powder.GYPSUM, water_per_100, specific_gravity, allowance_pct, 9.5, 120, 750)


def flask(diameter_in: float, height_in: float = 2.5) -> FlaskSize:
    """A flask of that size inside."""
    width, height = diameter_in * MM_PER_IN, height_in * MM_PER_IN
    return FlaskSize("flask", width, height, width + 4, 1, 10, 24, 3, max(13, width / 4), 4)


def alloy(specific_gravity: float) -> Alloy:
    """A metal of that specific gravity."""
    bands = dict.fromkeys(Section, (510.0, 566.0))
    return Alloy("metal", "Metal", {}, specific_gravity, 802, 893, 970, bands, ((102, 20),), melt_j_per_g=376.0)


def rules(button_pct: float, button_g: float) -> Rules:
    """House rules with one button share and one button by diameter; the rest from the shelf."""
    kept = shelf()["rules"] | {
        "button_pct": dict.fromkeys(Section, button_pct),
        "button_g_by_diameter": ((250, button_g),),
    }
    return Rules(**kept)


def densities() -> dict[str, float]:
    """Symbol -> density [g/cm3], as the project keeps them."""
    kept: dict[str, Any] = json.loads((FIXTURES / "elements.json").read_text(encoding="utf-8"))
    return {row["symbol"]: row["density_g_per_cm3"] for row in kept["elements"]}


def shelf() -> dict[str, Any]:
    """What a school starts with."""
    return json.loads((FIXTURES / "shelf.json").read_text(encoding="utf-8"))["shelf"]


def shelf_alloy(key: str) -> dict[str, Any]:
    """One metal of the shelf."""
    return next(alloy for alloy in shelf()["alloys"] if alloy["key"] == key)
