"""The melts: how long each takes, which torch has it, which crucible it is in."""

from __future__ import annotations

import json
import math
from datetime import datetime
from pathlib import Path

ELEMENTS = json.loads((Path(__file__).parents[2] / "fixtures" / "elements.json").read_text("utf-8"))["elements"]
HEATS = {
    one["symbol"]: (one["solid_j_per_g_k"], one["fusion_j_per_g"], one["liquid_j_per_g_k"])
    for one in ELEMENTS
    if "fusion_j_per_g" in one
}


def minutes(later, earlier):
    return (datetime.fromisoformat(later) - datetime.fromisoformat(earlier)).total_seconds() / 60


def heat_j_per_g(alloy):
    """From 20 C to the pour; what is not recorded, or lacks of 100, is copper."""
    shares = {part: share for part, share in (alloy.get("composition_pct") or {}).items() if share}
    whole = max(100, sum(shares.values()))
    copper = whole - sum(share for part, share in shares.items() if part in HEATS)
    heat = 0
    for part, share in [("Cu", copper), *((part, share) for part, share in shares.items() if part in HEATS)]:
        solid, fusion, liquid = HEATS[part]
        per_g = solid * (alloy["liquidus_c"] - 20) + fusion + liquid * (alloy["pour_c"] - alloy["liquidus_c"])
        heat += share / whole * per_g
    return heat


def cup(flask, look):
    """The metal and the smallest crucible that the charge fits."""
    rules, alloy = look.rules, look.alloys[flask["alloy"]]
    cups = sorted([*rules.get("crucibles_ml", []), rules["crucible_ml"]])
    holds = [
        ml
        for ml in cups
        if flask["charge_g"] <= alloy["specific_gravity"] * ml * rules["crucible_fill_pct"] / 100 + 0.001
    ]
    return flask["alloy"], holds[0]


def melt_breaches(plan, look):
    """Each torch melts one charge at a time, as long as that takes, until its flask is taken out."""
    found, rules = [], look.rules
    flasks = sorted(plan["flasks"], key=lambda flask: datetime.fromisoformat(flask["out_at"]))
    melts = {step["flasks"][0]: step for step in plan["steps"] if step["do"] == "melt"}
    poured_after = math.ceil(min(2, rules["pour_min"]))
    torches = [(None, None)] * min(rules["torches"], rules["hands"])
    for flask in flasks:
        alloy, melt, kept = look.alloys[flask["alloy"]], melts[flask["label"]], cup(flask, look)
        hot = rules.get("melter_min")
        if hot is None:
            hot = rules["melt_set_up_min"] + flask["charge_g"] * heat_j_per_g(alloy) / rules["melt_w"] / 60
        free = []
        for nth, (last, out_at) in enumerate(torches):
            takes = math.ceil(hot + (0 if last == kept else rules["cup_change_min"]) - 1e-9)
            if out_at is None or minutes(flask["out_at"], out_at) >= poured_after + takes:
                free.append((takes, nth))
        if not free:
            found.append(f"{flask['label']}: no torch can have melted it by then")
            continue
        takes, nth = min(free)
        torches[nth] = (kept, flask["out_at"])
        if melt["until"] != flask["out_at"] or minutes(melt["until"], melt["at"]) != takes:
            found.append(f"{flask['label']}: a melt takes {takes} min, up to the pour")
    return found
