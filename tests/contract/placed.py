"""Flasks made by hand, waxes kept out, and reach that a teacher overruled."""

from __future__ import annotations

import math

from tests.contract.flasks import Lookup

HARDER = ("stopped", "stones", "too_tall", "too_wide", "over_crucible")
"""Reasons that are told before the teacher's will."""
SPOT = ("x_mm", "y_mm", "turn_deg", "z_mm", "tier")


def placed_breaches(day, plan):
    """What was made by hand is in the plan as it was made, and the plan says so; nothing else says so."""
    flasks = {flask["label"]: flask for flask in plan["flasks"]}
    placed = {one["label"]: one for one in day.get("placed", ())}
    found = [f"{label}: made by hand, and not in the plan" for label in placed if label not in flasks]
    for label, flask in flasks.items():
        hand = placed.get(label)
        if flask.get("by_hand", False) != (hand is not None):
            found.append(f"{label}: by_hand")
        found += [f"{label}: {wrong}" for wrong in _flask(hand or {"waxes": []}, flask, made=hand is not None)]
    if plan["proof"].get("as_placed", []) != sorted(placed):
        found.append("proof.as_placed names the flasks made by hand")
    return found + _kept_out(day, plan) + _reach(day, plan)


def _flask(hand, flask, made):
    waxes, given = {wax["key"]: wax for wax in flask["waxes"]}, {wax["key"]: wax for wax in hand["waxes"]}
    found = []
    if made and flask["size"] != hand["size"]:
        found.append("another size than was made")
    if not set(given) <= set(waxes) or (made and hand.get("whole", True) and set(given) != set(waxes)):
        found.append("other waxes than were put in")
    for key, wax in waxes.items():
        spot = {name: given[key][name] for name in SPOT if name in given.get(key, ())}
        if wax.get("by_hand", False) != bool(spot):
            found.append(f"{key}: by_hand")
        if any(abs(_turned(name, wax[name] - value)) > 0.00051 for name, value in spot.items()):
            found.append(f"{key} is not at its spot")
    return found


def _turned(name, value):
    """A difference of turns within half a turn of nothing."""
    return (value + 180) % 360 - 180 if name == "turn_deg" else value


def _kept_out(day, plan):
    kept, reasons = set(day.get("kept_out", ())), {left["key"]: left["reason"] for left in plan["left_out"]}
    told = {key for key, reason in reasons.items() if reason == "kept_out"}
    found = [f"{key} is kept out, and {reasons.get(key, 'in a flask')}" for key in sorted(kept - told)
             if reasons.get(key) not in HARDER]  # fmt: skip
    return found + [f"nobody keeps {key} out" for key in sorted(told - kept)]


def _reach(day, plan):
    """A foot beyond the reach has its figure and its reason, in a caution too until the flask is invested."""
    look, found = Lookup(day), []
    why = day.get("reach_overruled", {})
    said = [one["text"] for one in plan["cautions"] if one["id"] == "reach-overruled"]
    due = []
    for flask in plan["flasks"]:
        reach = look.sizes[flask["size"]]["hub_mm"] / 2 + look.rules["sprue_reach_mm"]
        for wax in flask["waxes"]:
            beyond = math.hypot(wax["x_mm"], wax["y_mm"]) - reach
            if wax["key"] not in why or beyond <= 0.002:
                strays = {"beyond_reach_mm", "reach_reason"} & set(wax)
                found += [f"{wax['key']}: {stray} within the reach" for stray in sorted(strays)]
                continue
            if abs(wax.get("beyond_reach_mm", 0) - beyond - 0.05) > 0.052 or wax.get("reach_reason") != why[wax["key"]]:
                found.append(f"{wax['key']}: how far beyond the reach, and why")
            due += [] if flask["label"] in day.get("fixed", ()) else [(wax["key"], flask["label"])]
    named = all(any(f"wax {key} in flask {label}" in text for text in said) for key, label in due)
    return found if named and len(said) == len(due) else [*found, "reach-overruled names who stands beyond it"]
