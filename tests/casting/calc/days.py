"""Small days for tests: one alloy, one wax, one flask and one kiln, changed as a test needs."""

from dataclasses import replace

from casting.calc.values.day_input import (
    Alloy,
    DayInput,
    Firing,
    FlaskSize,
    Investment,
    Kiln,
    Pattern,
    Rules,
    Segment,
    Wax,
)
from casting.calc.values.enums import Aim, Kind, Section
from casting.dayfile.rules_file import rulebook

BANDS = {
    Section.VERY_THIN: (621.0, 677.0),
    Section.THIN: (566.0, 621.0),
    Section.MEDIUM: (510.0, 566.0),
    Section.HEAVY: (399.0, 482.0),
}

STERLING = Alloy(
    "sterling", "Sterling silver", {"Ag": 92.5, "Cu": 7.5}, 10.36, 802, 893, 970, BANDS, ((102, 15),), None, 1.0
)
BRONZE = Alloy(
    "bronze", "Silicon bronze", {"Cu": 96.0, "Si": 4.0}, 8.36, 821, 971, 1060, BANDS, ((102, 15),), None, 0.03
)
SMALL = FlaskSize("51x64", 50.8, 63.5, 55, 5, 10, 19, 3, 13, 2)
MIDDLE = FlaskSize("64x64", 63.5, 63.5, 67, 5, 10, 24, 3, 15.875, 4)
TALL = FlaskSize("76x102", 76.2, 101.6, 80, 2, 10, 27, 3, 19.05, 6)
KILN = Kiln("k1", 400, 400, 250, 250, 150, 25)
FIRING = Firing("8h", 103, 205, frozenset({Kind.WAX, Kind.RESIN}), (Segment(167, 732, 180),))

RULES = Rules(
    wall_mm=6.5,
    resin_wall_mm=10,
    between_mm=6,
    sprue_reach_mm=7,
    sprue_clear_mm=3,
    kiln_gap_mm=12,
    kiln_under_mm=25,
    kiln_over_mm=25,
    crucible_ml=24,
    crucible_fill_pct=80,
    melt_max_g=200,
    button_pct={section: 25.0 if section is Section.HEAVY else 15.0 for section in Section},
    button_g_by_diameter=((51, 10), (64, 15), (77, 20), (102, 35)),
    charge_step_g=0.5,
    sections_may_differ_by=1,
    mix_pattern_kinds=False,
    bowl_ml=4000,
    bowl_extra_g=30,
    flasks_per_bowl=2,
    bowl_pitch_min=13,
    torches=1,
    hands=3,
    pour_min=5,
    pitch_min=8,
    slack_min=60,
    mount_min_per_wax=4,
    mount_min_per_flask=6,
    mount_floor_min=60,
    button_cost_pct=10,
    mixed_cost=5,
    aim=Aim.FEWEST_POURS,
)


def a_wax(key, **more):
    """A small medium wax of 3 g, 8 x 4 mm and 25 mm tall."""
    figures = {"wax_g": 3.0, "width_mm": 8.0, "depth_mm": 4.0, "height_mm": 25.0, "section": Section.MEDIUM}
    return Wax(key, **{"alloy": "sterling", "pattern": "wax", **figures, **more})


def a_day(waxes, rules=None, **more):
    """A day of these waxes with three sizes and one kiln."""
    parts = {
        "alloys": {"sterling": STERLING, "bronze": BRONZE},
        "patterns": {"wax": Pattern("wax", Kind.WAX, 0.96), "resin": Pattern("resin", Kind.RESIN, 1.12)},
        "investment": Investment("gypsum", "gypsum", 40, 2.53, 12, 9.5, 120, 750, 4.0),
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
