"""Days on which much is amiss, drawn at random, so that a plan has many things to say."""

import random

from tests.days.class_day import class_day

RULES = {
    "wall_mm": (4, 6.5), "crucible_ml": (15, 24, 60), "crucible_fill_pct": (80, 95), "crucibles_ml": ([8], [10, 12]),
    "torches": (1, 2), "hands": (1, 2, 3), "melt_w": (150, 400), "pitch_min": (5, 8), "bowl_ml": (500, 4000),
    "sections_may_differ_by": (0, 1), "mix_pattern_kinds": (False, True),
}  # fmt: skip


def odd_day(seed):
    """Return the day of a seed, as values of a day file."""
    chance = random.Random(seed)

    def maybe(share):
        return chance.random() < share

    hours = {
        "opens": "09:00",
        "closes": chance.choice(["12:00", "16:00", "18:30", "23:00"]),
        "hand_in_until": chance.choice(["10:00", "15:00", "17:00"]),
    }
    day = class_day(seed, chance.choice([1, 2, 3, 5, 8, 12]), **({"hours": hours} if maybe(0.7) else {}))
    for alloy in day["alloys"]:
        _odd_alloy(alloy, chance, maybe)
    for wax in day["waxes"]:
        _odd_wax(wax, chance, maybe)
    for pattern in day["patterns"]:
        if maybe(0.1):
            pattern["poison_gas"] = True
        for fact in ("poison_gas", "heavy_smoke", "ash", "unknown_plastic"):
            if maybe(0.1):
                pattern[fact] = None
    _odd_powder(day["investment"], chance, maybe)
    for row in day["flask_sizes"]:
        _some(row, maybe, chance, count=(0.3, (0, 1, 2)), cover_mm=(0.1, (4, 9, 11)), name=(0.2, ("Tall one",)))
    for row in day["kilns"]:
        _some(row, maybe, chance, wall_gap_mm=(0.2, (5,)), max_c=(0.2, (700, 800)), name=(0.3, ("Big kiln",)),
              delayed_start=(0.5, (True, False, None)), runs_program=(0.5, (True, False, None)),
              height_mm=(0.1, (80,)))  # fmt: skip
    for row in day["firings"]:
        for segment in row["segments"]:
            _some(segment, maybe, chance, ramp_c_per_h=(0.1, (200, 260, 550)), hold_min=(0.1, (5, 20, 40)))
        _some(row["segments"][-1], maybe, chance, to_c=(0.1, (600, 650, 740, 750)))
        _some(row, maybe, chance, from_memory=(0.2, (["segments"],)))
    _some(day.setdefault("rules", {}), maybe, chance, **{key: (0.3, values) for key, values in RULES.items()})
    _some(day, maybe, chance, gloss_off_min=(0.1, (3, 6)))
    return day


def _some(row, maybe, chance, **changes):
    for key, (share, values) in changes.items():
        if maybe(share):
            row[key] = chance.choice(values)


def _odd_alloy(alloy, chance, maybe):
    if maybe(0.15):
        alloy["pour_c"] += chance.choice([80, 150, 300])
    if maybe(0.1):
        parts = alloy["composition_pct"]
        alloy["composition_pct"] = {part: None if maybe(0.5) else share for part, share in parts.items()}
    if maybe(0.1):
        alloy["specific_gravity"] = round(alloy["specific_gravity"] * 0.97, 2)
    _some(alloy, maybe, chance, quench_by_min=(0.1, (5, 8, 30)), name=(0.1, ("Bronze 92.5 {x}", "Red: and more")),
          from_memory=(0.3, (["pour_c", "flask_c", "quench_min_by_diameter", "specific_gravity"],)))  # fmt: skip


def _odd_wax(wax, chance, maybe):
    _some(wax, maybe, chance, height_mm=(0.06, (70, 95, 200)), width_mm=(0.05, (60, 90)), thick_parts=(0.08, (3,)),
          stones=(0.05, ("other", "take_firing")))  # fmt: skip
    if maybe(0.05):
        wax["wax_g"] = max(1, round(wax["width_mm"] * wax["depth_mm"] * wax["height_mm"] / 1000 * 0.75, 1))


def _odd_powder(powder, chance, maybe):
    _some(powder, maybe, chance, water_per_100=(0.2, (30, 36, 47, 49)), set_min=(0.2, (45, 90)),
          allowance_pct=(0.1, (3, 40)), from_memory=(0.2, (["set_min", "water_per_100"],)))  # fmt: skip
