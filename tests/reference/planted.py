"""Classes whose least number of flasks is known by construction, as days of our own (tables in `packing/`)."""

from __future__ import annotations

import json
import math
import random
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from casting.calc.values.day_input import DayInput, FlaskSize, Kiln, Wax
from casting.calc.values.enums import Section
from tests.days.day_input import STERLING, a_day, a_wax

PACKING = Path(__file__).parent / "packing"
SG = {"silver": 10.4, "bronze": 8.8, "gold": 13.1}
WIDE_KILN = Kiln("k1", 2000, 2000, 250, 250, 150, 25)


def table(name: str) -> Mapping[str, Any]:
    """A table of the folder."""
    return json.loads((PACKING / name).read_text("utf-8"))


def flask(key: str, diameter_mm: float, height_mm: float, count: int, waxes_max: int = 99) -> FlaskSize:
    """A flask of the tables: 12 mm over the waxes, no base, no reach, no paths (the cone is as wide as the flask)."""
    return FlaskSize(key, diameter_mm, height_mm, diameter_mm + 4, count, 0, diameter_mm, 0, 12, waxes_max)


def day_of(waxes: list[Wax], sg: Mapping[str, float], melt_g: float, **more: Any) -> DayInput:
    """A day under the tables' rules: wall 6, gap 3, one melt of `melt_g` grams whatever the metal."""
    rules = {
        "wall_mm": 6.0, "between_mm": 3.0, "sprue_reach_mm": 500.0, "sprue_clear_mm": 0.0, "charge_step_g": 0.001,
        "crucible_ml": 1e6, "melt_max_g": melt_g, "button_pct": dict.fromkeys(Section, 0.0), **more.pop("rules"),
    }  # fmt: skip
    alloys = {key: replace(STERLING, key=key, name=key, specific_gravity=value) for key, value in sg.items()}
    return a_day(waxes, rules, alloys=alloys, kilns=(WIDE_KILN,), **more)


def inscribed(row: Mapping[str, Any], sg: float, seed: int) -> Wax:
    """A wax of a table whose rectangle's corners lie on the circle of its footprint."""
    turn = math.radians(random.Random(f"{seed} {row['id']}").uniform(15, 75))
    sides = {"width_mm": 2 * row["rad"] * math.cos(turn), "depth_mm": 2 * row["rad"] * math.sin(turn)}
    wax_g, section = row["metal_g"] / sg * 0.96, Section(row["section"])
    return a_wax(row["id"], alloy=row["metal"], wax_g=wax_g, height_mm=row["height"], section=section, **sides)


def planted_days() -> Iterator[tuple[str, DayInput, int]]:
    """Name, day and least flasks of the six planted classes.

    One flask size, 80 x 75, with a button of 0.9 + 0.012 (80 - 50) = 1.26 ml. Gold has a crucible of 300 g, the
    others one of 420 g: its specific gravity is written 420/300 as high, so that 420 g of it count as 300.
    """
    sg = {**SG, "gold": SG["gold"] * 420 / 300}
    rules = {"button_g_by_diameter": ((80, 1.26 * 10.36),)}
    for row in table("planted_classes.json")["instances"]:
        waxes = [inscribed(wax, SG[wax["metal"]], row["seed"]) for wax in row["waxes"]]
        sizes = (flask("80x75", 80, 75, row["optimum_flasks"] + 3),)
        yield f"planted {row['seed']}", day_of(waxes, sg, 420, rules=rules, flask_sizes=sizes), row["optimum_flasks"]


def packed_days() -> Iterator[tuple[str, DayInput, int]]:
    """Name, day and least flasks where only charge and count bind.

    The sizes of a bin packing become metal, one dimension at a time: the total is `optimum` full bins in each, so
    the optimum of each alone is the same. The triplets stand three to a flask. An item of size 0 is left away.
    """
    rules = {"button_g_by_diameter": ((100, 10 * 10.36 / 10.4),)}
    for row in table("binpack_constructed.json")["instances"]:
        triplet, unit_g = len(row["capacity"]) == 2, 100 / row["capacity"][0]
        for dimension in range(len(row["capacity"])):
            masses = [item[dimension] * unit_g if triplet else item[0] * unit_g for item in _listed(row["items"])]
            waxes = [
                a_wax(f"w{i:03d}", alloy="silver", wax_g=mass / 10.4 * 0.96, width_mm=4.0)
                for i, mass in enumerate(masses)
                if mass
            ]
            sizes = (flask("wide", 100, 75, row["optimum"] + 5, 3 if triplet else 99),)
            day = day_of(waxes, SG, 110, rules=rules, flask_sizes=sizes)
            yield f"{row['name']} {'xy'[dimension]}", day, row["optimum"]


def _listed(items: list[Any]) -> list[list[float]]:
    return [item if isinstance(item, list) else [item] for item in items]


def case_71() -> DayInput:
    """The day of the false proof: the button, 0.5 + 0.16 (D - 60) ml, grows faster than the room."""
    row = table("regression_case71.json")
    waxes = [inscribed(wax, SG[wax["metal"]], 71) for wax in row["waxes"]]
    shapes = {"S": (65, 60), "M": (80, 75), "L": (100, 90)}
    sizes = tuple(flask(key, *shapes[key], count) for key, count in row["stock"].items())
    buttons = tuple((d, (0.5 + 0.16 * (d - 60)) * 10.36) for d, _ in shapes.values())
    rules = {"button_g_by_diameter": buttons}
    return day_of(waxes, SG, row["crucible_g"], rules=rules, flask_sizes=sizes)
