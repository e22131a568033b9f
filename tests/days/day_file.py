"""Small day files for tests, with every key written out, and their plan files."""

from __future__ import annotations

import json

from casting.calc.plan_day import plan_day
from casting.dayfile import read, write
from tests.days.class_day import class_day


def wax_row(key, **changes):
    """The row of a plain ring that fits a 51 x 64 flask, 3.2 g of carving wax in sterling."""
    return {
        "key": key,
        "student": "Imre",
        "piece": 1,
        "owner": "school",
        "alloy": "sterling",
        "pattern": "carving-wax",
        "wax_g": 3.2,
        "sprue_g": 0,
        "sprue_pattern": None,
        "width_mm": 22.0,
        "depth_mm": 8.0,
        "height_mm": 33.0,
        "section": "medium",
        **changes,
    }


def a_day_file(waxes, rules=None, **changes):
    """A day file as a dict: one kiln, a summer day in Denver, the given waxes."""
    day = class_day(100, 1)
    day |= {"pour_at": "2027-06-13T10:00", "waxes": waxes, "kilns": day["kilns"][:1]}
    day["rules"] = day["rules"] | (rules or {})
    return day | changes


def planned_day(day, effort=20):
    """The plan of a day file as values."""
    return plan_day(read(json.dumps(day)).day, effort)


def given_back(day, plan, **changes):
    """The day file with the flasks of its plan placed as they are, and with what it leaves out kept out."""
    kept = ("key", "x_mm", "y_mm", "turn_deg", "z_mm", "tier")
    placed = [
        {
            "label": flask["label"],
            "size": flask["size"],
            "waxes": [{name: wax[name] for name in kept if name in wax} for wax in flask["waxes"]],
        }
        for flask in plan["flasks"]
    ]
    return day | {"placed": placed, "kept_out": [left["key"] for left in plan["left_out"]]} | changes


def planned(day, effort=20):
    """The plan file of a day, as a dict, by the same code path as the web page and the command."""
    day_ = read(json.dumps(day))
    return json.loads(write(plan_day(day_.day, effort), day_))


def step(plan, do):
    """The first step of that kind."""
    return next(s for s in plan["steps"] if s["do"] == do)
