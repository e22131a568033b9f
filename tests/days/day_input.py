"""Small days for tests as values, with round figures to work by hand: two alloys, three flasks, one kiln."""

import json
from dataclasses import replace

from casting.calc.values.day_input import (
    Alloy,
    DayInput,
    Firing,
    FlaskSize,
    Investment,
    Kiln,
    Pattern,
    Segment,
    Wax,
)
from casting.calc.values.enums import Kind, Powder, Section
from casting.dayfile import read
from casting.dayfile.rules_file import rulebook
from tests.days.class_day import class_day

BANDS = {
    Section.VERY_THIN: (621.0, 677.0),
    Section.THIN: (566.0, 621.0),
    Section.MEDIUM: (510.0, 566.0),
    Section.HEAVY: (399.0, 482.0),
}

STERLING = Alloy(
    *("sterling", "Sterling silver", {"Ag": 92.5, "Cu": 7.5}, 10.36, 802, 893, 970, BANDS, ((102, 15),), None, 1.0),
    melt_j_per_g=376.0,
)
BRONZE = Alloy(
    *("bronze", "Silicon bronze", {"Cu": 96.0, "Si": 4.0}, 8.36, 821, 971, 1060, BANDS, ((102, 15),), None, 0.03),
    melt_j_per_g=740.0,
)
WAX = Pattern("wax", Kind.WAX, 0.96, False, False, False, False)
RESIN = Pattern("resin", Kind.RESIN, 1.12, False, False, False, False)
SMALL = FlaskSize("51x64", 50.8, 63.5, 55, 5, 10, 19, 3, 13, 2)
MIDDLE = FlaskSize("64x64", 63.5, 63.5, 67, 5, 10, 24, 3, 15.875, 4)
TALL = FlaskSize("76x102", 76.2, 101.6, 80, 2, 10, 27, 3, 19.05, 6)
KILN = Kiln("k1", 400, 400, 250, 250, 150, 25, max_c=1100)
FIRING = Firing("8h", 103, 205, frozenset({Kind.WAX, Kind.RESIN}), (Segment(167, 732, 180),))

RULES = replace(
    read(json.dumps(class_day(1, 0))).day.rules, button_g_by_diameter=((51, 10), (64, 15), (77, 20), (102, 35))
)
"""The rules of `class_day`, without the button of its fourth width."""


def a_wax(key, **more):
    """A small medium wax of 3 g, 8 x 4 mm and 25 mm tall."""
    figures = {"wax_g": 3.0, "width_mm": 8.0, "depth_mm": 4.0, "height_mm": 25.0, "section": Section.MEDIUM}
    return Wax(key, **{"alloy": "sterling", "pattern": "wax", **figures, **more})


def a_day(waxes, rules=None, **more):
    """A day of these waxes with three sizes and one kiln."""
    parts = {
        "alloys": {"sterling": STERLING, "bronze": BRONZE},
        "patterns": {"wax": WAX, "resin": RESIN},
        "investment": Investment("gypsum", Powder.GYPSUM, 40, 2.53, 12, 9.5, 120, 750, 4.0),
        "flask_sizes": (SMALL, MIDDLE, TALL),
        "kilns": (KILN,),
        "firings": (FIRING,),
        "rules": replace(RULES, **(rules or {})),
        "held": {},
        "previous": {},
        "fixed": (),
    }
    parts.setdefault("rulebook", rulebook())
    return DayInput(waxes=tuple(sorted(waxes, key=lambda wax: wax.key)), **{**parts, **more})


def sizes(**counts):
    """The three sizes with these counts, e.g. sizes(small=0)."""
    rows = {"small": SMALL, "middle": MIDDLE, "tall": TALL}
    return tuple(replace(size, count=counts.get(name, size.count)) for name, size in rows.items())
