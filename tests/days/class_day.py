"""Invented but realistic class casting days, as day files (see `casting/PLAN_FILE.md`).

`python -m tests.days.class_day --waxes N --seed S [--timezone ZONE] [--pour-at YYYY-MM-DDTHH:MM] [--hours]
[--no-owners]` prints one. The same arguments always print the same bytes. Standard library only.

What a class hands in, seen from above as width x depth and standing height_mm tall, sprue included:
  ring     plain ring, 1.6 to 3.2 mm wall, 3 to 7 mm band           band     wide band, 7 to 12 mm
  signet   a head on a shank, heavy or medium                         pendant  flat, 12 to 34 mm wide
  stud     small, often very thin
A weight is the piece's own volume and a sprue of 2.5 to 4 mm, times the pattern's specific gravity, and never
above 0.9 of a solid block of its size. Most waxes fit the lowest flasks, some need a higher one, about 1 in 60
needs one that nobody has. About 1 in 10 is printed resin, some on a wax sprue. Metal is the school's but for
most of the gold, which is the student's own. Two students in three hand in one piece, the others two or three.
Stock and kilns grow with the number of waxes, so that a good plan seldom has to leave a wax out.
"""

from __future__ import annotations

import argparse
import copy
import json
import math
import random
import sys

BANDS = {"very_thin": [621, 677], "thin": [566, 621], "medium": [510, 566], "heavy": [399, 482]}
ALLOYS = [
    {"key": "sterling", "name": "Sterling silver", "composition_pct": {"Ag": 92.5, "Cu": 7.5},
     "specific_gravity": 10.36, "solidus_c": 802, "liquidus_c": 893, "pour_c": 970, "price_per_g": 1.1,
     "flask_c": BANDS, "quench_min_by_diameter": [[64, 10], [90, 15], [102, 20]], "quench_by_min": None},
    {"key": "si-bronze", "name": "Silicon bronze", "composition_pct": {"Cu": 95.0, "Si": 4.0, "Mn": 1.0},
     "specific_gravity": 8.36, "solidus_c": 821, "liquidus_c": 971, "pour_c": 1060, "price_per_g": 0.03,
     "flask_c": {"very_thin": [621, 677], "thin": [566, 621], "medium": [510, 566], "heavy": [427, 510]},
     "quench_min_by_diameter": [[64, 12], [90, 17], [102, 22]], "quench_by_min": None},
    {"key": "gold-14k", "name": "14k yellow gold", "composition_pct": {"Au": 58.5, "Ag": 20.5, "Cu": 21.0},
     "specific_gravity": 13.4, "solidus_c": 830, "liquidus_c": 879, "pour_c": 960, "price_per_g": 62.0,
     "flask_c": {"very_thin": [640, 690], "thin": [566, 640], "medium": [510, 566], "heavy": [427, 510]},
     "quench_min_by_diameter": [[64, 10], [90, 15], [102, 20]], "quench_by_min": None},
]  # fmt: skip
PATTERNS = [
    {"key": "carving-wax", "kind": "wax", "specific_gravity": 0.96},
    {"key": "injection-wax", "kind": "wax", "specific_gravity": 0.93},
    {"key": "print-resin", "kind": "resin", "specific_gravity": 1.12},
]
INVESTMENT = {
    "key": "gypsum", "kind": "gypsum", "water_per_100": 40, "specific_gravity": 2.53, "allowance_pct": 12,
    "working_min": 9.5, "set_min": 120, "max_c": 750, "price_per_kg": 4,
}  # fmt: skip
SIZES = [
    {"key": "51x64", "diameter_mm": 50.8, "height_mm": 63.5, "count": 5},
    {"key": "64x64", "diameter_mm": 63.5, "height_mm": 63.5, "outside_mm": 67, "count": 6},
    {"key": "64x76", "diameter_mm": 63.5, "height_mm": 76.2, "outside_mm": 67, "count": 3},
    {"key": "76x76", "diameter_mm": 76.2, "height_mm": 76.2, "outside_mm": 80, "count": 3},
    {"key": "89x102", "diameter_mm": 88.9, "height_mm": 101.6, "outside_mm": 93, "count": 1},
]
KILNS = [
    {"key": "k1", "width_mm": 356, "depth_mm": 356, "height_mm": 250, "max_ramp_c_per_h": 250,
     "cool_c_per_h": 150, "wall_gap_mm": 25, "max_c": 1100},
    {"key": "k2", "width_mm": 305, "depth_mm": 267, "height_mm": 190, "max_ramp_c_per_h": 160,
     "cool_c_per_h": 130, "wall_gap_mm": 25, "max_c": 1100},
]  # fmt: skip


def segments(*steps):
    return [{"ramp_c_per_h": 167, "to_c": c, "hold_min": h} for c, h in steps]


FIRINGS = [
    {"key": "6h", "max_diameter_mm": 64, "max_height_mm": 77, "kinds": ["wax"],
     "segments": segments((149, 120), (371, 60), (732, 120))},
    {"key": "8h", "max_diameter_mm": 90, "max_height_mm": 103, "kinds": ["wax", "resin"],
     "segments": segments((149, 120), (371, 120), (732, 180))},
    {"key": "12h", "max_diameter_mm": 103, "max_height_mm": 205, "kinds": ["wax", "resin"],
     "segments": segments((149, 120), (315, 120), (482, 120), (732, 240))},
]  # fmt: skip
RULES = {
    "wall_mm": 6.5, "resin_wall_mm": 10, "between_mm": 6, "sprue_reach_mm": 7, "sprue_clear_mm": 3,
    "kiln_gap_mm": 12, "kiln_under_mm": 25, "kiln_over_mm": 25, "crucible_ml": 24, "crucible_fill_pct": 80,
    "melt_max_g": 200, "button_pct": {"very_thin": 15, "thin": 15, "medium": 15, "heavy": 25},
    "button_g_by_diameter": [[51, 10], [64, 15], [77, 20], [90, 28], [102, 35]], "charge_step_g": 0.5,
    "sections_may_differ_by": 1, "mix_pattern_kinds": False, "bowl_ml": 4000, "bowl_extra_g": 30,
    "flasks_per_bowl": 2, "bowl_pitch_min": 13, "torches": 1, "hands": 3, "pour_min": 5, "pitch_min": 8,
    "slack_min": 60, "mount_min_per_wax": 4, "mount_min_per_flask": 6, "mount_floor_min": 60,
    "button_cost_pct": 10, "mixed_cost": 5, "aim": "fewest_pours", "melt_w": 400, "melt_set_up_min": 3,
    "cup_change_min": 3, "second_kiln_min": 15,
}  # fmt: skip
HOURS = {"opens": "09:00", "closes": "18:30", "hand_in_until": "11:00"}


def item(r):
    """(width, depth, height, volume of the piece without its sprue in ml, section) of one wax."""
    kind = r.choices(["ring", "band", "signet", "pendant", "stud"], [44, 16, 14, 16, 10])[0]
    if kind in ("ring", "band"):
        out, wall = r.uniform(19, 25), r.uniform(1.6, 3.2)
        depth = r.uniform(3, 7) if kind == "ring" else r.uniform(7, 12)
        ml = math.pi / 4 * (out**2 - (out - 2 * wall) ** 2) * depth / 1000 * r.uniform(0.85, 1.15)
        return out, depth, out + r.uniform(6, 11), ml, r.choices(["thin", "medium", "heavy"], [3, 6, 1])[0]
    if kind == "signet":
        out, depth = r.uniform(21, 26), r.uniform(11, 17)
        height = out + r.uniform(7, 12)
        return out, depth, height, out * depth * r.uniform(5, 9) / 1000 + 0.5, r.choice(["medium", "heavy", "heavy"])
    if kind == "pendant":
        wide, depth = r.uniform(12, 34), r.uniform(2.5, 8)
        tall = r.uniform(18, 30) if r.random() < 0.75 else r.uniform(30, 48)
        height = tall + r.uniform(6, 10)
        ml = wide * depth * tall * r.uniform(0.25, 0.5) / 1000
        return wide, depth, height, ml, r.choices(["very_thin", "thin", "medium"], [1, 3, 4])[0]
    side = r.uniform(6, 12)
    depth, height = r.uniform(4, 9), r.uniform(16, 24)
    ml = side * 6 * r.uniform(4, 9) * 0.4 / 1000
    return side, depth, height, ml, r.choice(["very_thin", "thin", "thin", "medium"])


def wax(r, i, student, nth, owners):
    """One wax of the class."""
    width, depth, height, ml, section = item(r)
    tall = r.random() < 1 / 60
    alloy = r.choices(["sterling", "si-bronze", "gold-14k"], [66, 23, 11])[0]
    resin = r.random() < 0.1
    height, width, depth = round(height + (40 if tall else 0), 1), round(width, 1), round(depth, 1)
    sg = 1.12 if resin else 0.96
    sprue = math.pi / 4 * r.uniform(2.5, 4) ** 2 * 12 / 1000 * 0.96
    most = 0.9 * width * depth * height / 1000 * (0.96 if resin else sg)
    mixed = resin and r.random() < 0.5
    grams = max(0.12, round(min(ml * sg + sprue, most), 2))
    if grams > most:
        grams = math.floor(most * 100) / 100
    own = alloy == "gold-14k" and owners and r.random() < 0.7
    return {
        "key": f"w{i:03d}", "student": student, "piece": nth, "owner": student if own else "school",
        "alloy": alloy, "pattern": "print-resin" if resin else "carving-wax", "wax_g": grams,
        "sprue_g": round(min(sprue, grams / 3), 2) if mixed else 0,
        "sprue_pattern": "carving-wax" if mixed else None,
        "width_mm": width, "depth_mm": depth, "height_mm": height, "section": section,
    }  # fmt: skip


def kilns_for(n):
    """The kilns of a class of n waxes."""
    if n <= 24:
        return KILNS
    side = 508 if n <= 40 else 711
    return [dict(KILNS[0], width_mm=side, depth_mm=side), KILNS[1]]


def class_day(seed, n, owners=True, **more):
    """A day of n waxes, a copy that may be changed; `more` replaces top-level keys."""
    r = random.Random(seed)
    waxes, student, left, nth = [], 0, 0, 0
    for i in range(n):
        if left == 0:
            student, left, nth = student + 1, r.choices([1, 2, 3], [65, 25, 10])[0], 0
        nth, left = nth + 1, left - 1
        waxes.append(wax(r, i, f"S{student:02d}", nth, owners))
    r.shuffle(waxes)
    times = max(1, math.ceil(n / 24))
    day = {
        "format": "casting-day/1", "timezone": "America/Denver", "pour_at": "2027-03-14T10:00",
        "elevation_m": 1609, "alloys": ALLOYS, "patterns": PATTERNS, "investment": INVESTMENT,
        "flask_sizes": [dict(s, count=s["count"] * times) for s in SIZES], "kilns": kilns_for(n),
        "firings": FIRINGS, "rules": RULES, "waxes": waxes, "held": {}, "previous": {}, "fixed": [], **more,
    }  # fmt: skip
    return copy.deepcopy(day)


def dumps(day):
    """A day file with one wax, size or rule a line: small, and two days can be compared by eye."""

    def rows(v):
        if v and isinstance(v, list) and isinstance(v[0], dict):
            return "[\n  " + ",\n  ".join(json.dumps(x) for x in v) + "]"
        return json.dumps(v)

    return "{\n " + ",\n ".join(f"{json.dumps(k)}: {rows(v)}" for k, v in day.items()) + "\n}\n"


def main():
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("--waxes", type=int, required=True)
    p.add_argument("--seed", type=int, required=True)
    p.add_argument("--timezone", default="America/Denver")
    p.add_argument("--pour-at", default="2027-03-14T10:00")
    p.add_argument("--hours", action="store_true")
    p.add_argument("--no-owners", action="store_true")
    a = p.parse_args()
    more = {"timezone": a.timezone, "pour_at": a.pour_at, **({"hours": HOURS} if a.hours else {})}
    sys.stdout.write(dumps(class_day(a.seed, a.waxes, owners=not a.no_owners, **more)))


if __name__ == "__main__":
    main()
