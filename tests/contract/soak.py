"""How long a flask soaks: practice, and heat by finite volumes, a cylinder of rings times a wall of slices."""

from __future__ import annotations

from datetime import datetime
from functools import lru_cache

import numpy as np

CELLS = 150
SLOW_MM2_PER_S, MJ_PER_M3_K, W_PER_M2_K, WITHIN_C = 0.28, 1.24, 50, 15
"""The figures of the contract: slow plaster, its heat capacity, exchange in the kiln, and how near is near."""

AIR_W_PER_M2_K, ROOM_C, QUENCH_MOST_C = 21, 20, 500
"""Exchange out of the kiln, the room, and the most that a core may have as it goes into water."""


def modes(volumes, faces, step_mm, w_per_m2_k):
    """Rates [1/min] and weights of what is left in the innermost cell of a row of cells with one open end."""
    k = SLOW_MM2_PER_S * MJ_PER_M3_K / 1000  # W/(mm K)
    between = k * faces[:-1] / step_mm
    out = faces[-1] / (1e6 / w_per_m2_k + step_mm / 2 / k)
    loss = np.diag(np.append(between, out) + np.append(0, between)) - np.diag(between, 1) - np.diag(between, -1)
    root = np.sqrt(volumes * MJ_PER_M3_K / 1000)  # J/K
    rates, shapes = np.linalg.eigh(loss / np.outer(root, root))
    return rates * 60, shapes[0] / root[0] * (shapes.T @ root)


@lru_cache
def flask_modes(diameter_mm, height_mm, w_per_m2_k=W_PER_M2_K):
    """Those of the rings and of the slices; the lower end is closed by the shelf or the table."""
    edges = np.linspace(0, diameter_mm / 2, CELLS + 1)
    slices = np.ones(CELLS)
    return (
        modes(np.pi * np.diff(edges**2), 2 * np.pi * edges[1:], edges[1], w_per_m2_k),
        modes(slices * height_mm / CELLS, slices, height_mm / CELLS, w_per_m2_k),
    )


def core_min(size, fall_c):
    """Minutes until the core is near the kiln after a sudden fall."""
    if fall_c <= WITHIN_C:
        return 0.0
    parts = flask_modes(size["diameter_mm"], size["height_mm"])

    def off_c(minutes):
        return fall_c * np.prod([weights @ np.exp(-rates * minutes) for rates, weights in parts])

    low, high = 0.0, 6000.0
    while high - low > 0.01:
        middle = (low + high) / 2
        low, high = (middle, high) if off_c(middle) > WITHIN_C else (low, middle)
    return high


def core_after_c(size, flask_c, minutes):
    """How hot the core still is after the flask has stood in air, without the heat of the metal."""
    parts = flask_modes(size["diameter_mm"], size["height_mm"], AIR_W_PER_M2_K)
    return ROOM_C + (flask_c - ROOM_C) * np.prod([weights @ np.exp(-rates * minutes) for rates, weights in parts])


def heat_breaches(day, plan):
    """Each flask that goes into water with a core over 500 C has its caution, and no other; half a degree is eased."""
    sizes = {size["key"]: size for size in day["flask_sizes"]}
    said = [one["text"] for one in plan["cautions"] if one["id"] == "core-hot"]
    found = []
    for flask in plan["flasks"]:
        if flask["kind"] == "stones" or flask["label"] in day.get("poured", ()):
            continue
        out_at, quench_at = (datetime.fromisoformat(flask[key]) for key in ("out_at", "quench_at"))
        core_c = core_after_c(sizes[flask["size"]], flask["flask_c"], (quench_at - out_at).total_seconds() / 60)
        named = any(f"flask {flask['label']}:" in text for text in said)
        if (core_c > QUENCH_MOST_C + 0.5 and not named) or (core_c < QUENCH_MOST_C - 0.5 and named):
            found.append(f"the core of {flask['label']} at its quench, {core_c:.1f} C, is told where it is over 500 C")
    return found


def soak_min(size, fall_c, after_top):
    """The least soak of a flask after a fall, a tenth of a minute eased for the cells."""
    wide = size["diameter_mm"] > 89.001 or size["height_mm"] > 102.001
    practice = (120 if wide else 60) if after_top or fall_c > 100 else 30
    return max(practice, core_min(size, fall_c) - 0.1)
