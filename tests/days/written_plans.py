"""Plan files written by hand, with their day files: what the pages and papers are tried on.

The one flask of `plan_of_one` is the example of the plan file's own description: a wax of
3.20 g at 0.96 gives 3.20 / 0.96 x 10.36 = 34.53 g of sterling, a button of 15.00 g makes
49.53 g, which is 50.0 g on a scale that is read to 0.5 g.
"""

import copy
import json
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from tests.days.class_day import FIRINGS, KILNS, SIZES
from tests.days.day_file import wax_row

ZONE = ZoneInfo("America/Denver")
POUR_AT = datetime(2027, 3, 14, 10, 0, tzinfo=ZONE)

SIZE = SIZES[1] | {
    "count": 8, "base_mm": 10, "hub_mm": 24, "rim_mm": 3, "cover_mm": 15.875, "waxes_max": 4, "mount": "cone",
}  # fmt: skip
# Ramps in whole minutes at 167 and 150 degrees an hour: 129 / 167 h = 46.3, 222 / 167 h = 79.8,
# 361 / 167 h = 129.7, 194 / 150 h = 77.6, each up.
NIGHT = [(47, 167, 149, 120), (80, 167, 371, 60), (130, 167, 732, 120), (78, 150, 538, 120)]
NIGHT_MIN = sum(ramp + hold for ramp, _, _, hold in NIGHT)
CAUTION = {
    "id": "fumes", "level": "WARN", "when": "kiln", "text": "Burnout smoke goes outside. Stay out of the kiln room.",
    "basis": "common practice",
}  # fmt: skip


def at(minutes):
    """The local time that many minutes from the first pour, with its offset."""
    instant = POUR_AT.astimezone(UTC) + timedelta(minutes=minutes)
    return instant.astimezone(ZONE).isoformat(timespec="seconds")


def band_row(key, **changes):
    """The row of a plain band, 3.20 g and 30 mm tall."""
    return wax_row(key, **{"student": f"student-{key}", "height_mm": 30} | changes)


def day_with(waxes):
    """A day file for those waxes, a copy that a test may change; what it leaves out is the shelf's."""
    day = {
        "format": "casting-day/1", "timezone": "America/Denver", "pour_at": "2027-03-14T10:00",
        "flask_sizes": [SIZE], "kilns": KILNS[:1], "firings": FIRINGS[:1], "waxes": waxes,
    }  # fmt: skip
    return copy.deepcopy(day)


def flask(label, places, nth=0):
    """A flask; `places` are its waxes as (key, x, y, turn), each of 3.20 g."""
    metal_g = round(len(places) * 34.533, 2)
    button_g = round(max(15.0, metal_g * 0.15), 2)
    charge_g = -(-(metal_g + button_g) // 0.5) * 0.5
    return {
        "label": label, "size": "64x64", "alloy": "sterling", "owner": "school", "section": "medium", "kind": "wax",
        "waxes": [
            {"key": key, "x_mm": x, "y_mm": y, "turn_deg": turn, "metal_g": 34.53} for key, x, y, turn in places
        ],
        "wax_metal_g": metal_g, "button_g": button_g, "charge_g": charge_g, "powder_g": 283, "water_g": 113.2,
        "flask_c": 538, "pour_c": 970, "kiln": "k1", "kiln_x_mm": 60.0 + 80 * (nth % 4),
        "kiln_y_mm": 60.0 + 80 * (nth // 4), "out_at": at(8 * nth), "quench_at": at(8 * nth + 15),
    }  # fmt: skip


def plan_with(flasks, left_out=()):
    """A plan file of those flasks, two to a bowl, in one kiln overnight."""
    labels = [one["label"] for one in flasks]
    pairs = [labels[i : i + 2] for i in range(0, len(labels), 2)]
    bowls = [{"flasks": pair, "powder_g": 283 * len(pair), "water_g": round(113.2 * len(pair), 1)} for pair in pairs]
    return {
        "format": "casting-plan/1",
        "flasks": flasks,
        "bowls": bowls,
        "left_out": list(left_out),
        "totals": {
            "flasks": len(flasks), "powder_g": 283 * len(flasks), "water_g": round(113.2 * len(flasks), 1),
            "charge_g": {"sterling": sum(one["charge_g"] for one in flasks)}, "cost": 2.78 * len(flasks),
        },
        "proof": {
            "left_out_at_least": 0, "first_left_out_at_least": 0, "flasks_at_least": len(flasks),
            "cost_at_least": 2.78, "flasks_proved": True, "proved": True,
            "why": "Sterling silver cannot be done in fewer, because each flask holds at most 4 waxes.",
        },
        "firings": [_night()],
        "steps": _steps(flasks, pairs),
        "cautions": [dict(CAUTION)],
    }  # fmt: skip


def _night():
    minute, segments = -NIGHT_MIN, []
    for ramp_min, ramp, to_c, hold in NIGHT:
        segments.append(
            {
                "ramp_c_per_h": ramp, "to_c": to_c, "hold_min": hold, "starts_at": at(minute),
                "reached_at": at(minute + ramp_min), "ends_at": at(minute + ramp_min + hold),
            }
        )  # fmt: skip
        minute += ramp_min + hold
    return {"kiln": "k1", "firing": "6h", "on_at": at(-NIGHT_MIN), "segments": segments}


def _step(begins, ends, do, flasks, kiln, say):
    return {"at": at(begins), "until": at(ends), "do": do, "flasks": flasks, "kiln": kiln, "say": say}


def _steps(flasks, pairs):
    first = -NIGHT_MIN - 200
    steps = [_step(first - 60, first, "mount", [one["label"] for one in flasks], None, "Mount the waxes.")]
    for nth, pair in enumerate(pairs):
        mixed = first + 13 * nth
        steps.append(_step(mixed, mixed + 8, "mix", pair, None, f"Mix for {', '.join(pair)}."))
    steps.append(_step(-NIGHT_MIN, -NIGHT_MIN, "kiln_on", [], "k1", "Kiln on."))
    for nth, one in enumerate(flasks):
        label = one["label"]
        steps.append(_step(8 * nth, 8 * nth + 5, "pour", [label], "k1", f"Pour {label}."))
        steps.append(_step(8 * nth + 15, 8 * nth + 20, "quench", [label], None, f"Quench {label}."))
    return sorted(steps, key=lambda step: datetime.fromisoformat(step["at"]))


THREE = [(0.0, 14.0, 0.0), (-12.124, -7.0, 120.0), (12.124, -7.0, 240.0)]
"""Three bands round the cone, a third of a turn apart, their feet 14 mm from the axis."""


def plan_of_one():
    """One wax in one flask, and one left out."""
    too_tall = {"key": "w9", "reason": "too_tall", "detail": "58 mm tall; the tallest flask takes 34.6 mm."}
    day = day_with([band_row("w1"), band_row("w9", height_mm=58, wax_g=3.1)])
    return plan_with([flask("A", [("w1", 0.0, 0.0, 0.0)])], [too_tall | {"cure": None}]), day


def plan_of_24():
    """24 waxes, three to a flask, in eight flasks."""
    flasks, waxes = [], []
    for nth, label in enumerate("ABCDEFGH"):
        keys = [f"{label}{i}" for i in (1, 2, 3)]
        waxes += [band_row(key, width_mm=18, depth_mm=6) for key in keys]
        flasks.append(flask(label, [(key, *place) for key, place in zip(keys, THREE, strict=True)], nth))
    return plan_with(flasks), day_with(waxes)


def as_text(plan, day):
    """Both files as they are stored."""
    return json.dumps(plan), json.dumps(day)


def plan_of_none():
    """A day without a wax: no flask, no firing, nothing to do."""
    return plan_with([]) | {"firings": [], "steps": []}, day_with([])
