"""Trees: their sizes, the metal of their trunks, their waxes in space. From the contract's text alone."""

from __future__ import annotations

import math
from itertools import combinations, pairwise

from shapely import LineString, Point, affinity, box
from shapely.ops import nearest_points

AS_PRINTED = 0.002
AXIS = Point(0, 0)


def is_tree(size):
    return size.get("mount") == "tree"


def tree_sized(diameter):
    """What a tree leaves out and a cone would have otherwise."""
    return {"cover_mm": max(25, diameter / 4), "waxes_max": 24, "trunk_mm": 8, "trunk_gap_mm": 6}


def trunk_g(flask, size, alloy):
    """Metal of the trunk, from the top of the cone to the lower faces of the highest tier; 0 on a cone."""
    if not is_tree(size):
        return 0.0
    length = max(wax["z_mm"] for wax in flask["waxes"]) - size["base_mm"]
    return math.pi / 4 * size["trunk_mm"] ** 2 * length / 1000 * alloy["specific_gravity"]


def tree_breaches(flask, waxes, metals, size, look):
    """Breaches of the rules about one flask with a tree."""
    places, rules = flask["waxes"], look.rules
    want = trunk_g(flask, size, look.alloys[flask["alloy"]])
    found = [] if abs(flask["trunk_g"] - want) <= 0.00501 else ["trunk_g"]
    shapes = [_seen_from_above(place, wax) for place, wax in zip(places, waxes, strict=True)]
    for wax, shape in zip(waxes, shapes, strict=True):
        wall = rules["resin_wall_mm" if look.kind(wax) == "resin" else "wall_mm"]
        if max(math.hypot(x, y) for x, y in shape.exterior.coords) > size["diameter_mm"] / 2 - wall + AS_PRINTED:
            found.append(f"{wax['key']} too near the wall")
        off = shape.distance(AXIS) - size["trunk_mm"] / 2
        if not size["trunk_gap_mm"] - AS_PRINTED <= off <= 10 + AS_PRINTED:
            found.append(f"{wax['key']} stands {off:.3f} mm off the trunk")
    for a, b in combinations(range(len(waxes)), 2):
        names = f"{waxes[a]['key']} and {waxes[b]['key']}"
        if _in_space(shapes, places, waxes, a, b) < rules["between_mm"] - AS_PRINTED:
            found.append(f"{names} too near")
        if places[a]["tier"] == places[b]["tier"]:
            for one, other in ((a, b), (b, a)):
                if _way(shapes[one], size).distance(shapes[other]) < rules["sprue_clear_mm"] - AS_PRINTED:
                    found.append(f"the way of {waxes[one]['key']} is not clear of {waxes[other]['key']}")
    return found + _tiers(places, waxes, metals, size, rules)


def _seen_from_above(place, wax):
    w, d = wax["width_mm"] / 2, wax["depth_mm"] / 2
    turned = affinity.rotate(box(-w, -d, w, d), place["turn_deg"], origin=(0, 0))
    return affinity.translate(turned, place["x_mm"], place["y_mm"])


def _in_space(shapes, places, waxes, a, b):
    """The distance of two upright blocks: apart from above, apart in height, or both."""
    one, other = sorted((a, b), key=lambda i: places[i]["z_mm"])
    above = places[other]["z_mm"] - places[one]["z_mm"] - waxes[one]["height_mm"]
    return math.hypot(shapes[a].distance(shapes[b]), max(above, 0))


def _way(shape, size):
    """The straight line from the point nearest the axis to the trunk."""
    near, _ = nearest_points(shape, AXIS)
    share = size["trunk_mm"] / 2 / max(near.distance(AXIS), 1e-9)
    return LineString([(near.x, near.y), (near.x * share, near.y * share)])


def _tiers(places, waxes, metals, size, rules):
    found = []
    tiers = {}
    for place, wax, metal in zip(places, waxes, metals, strict=True):
        tiers.setdefault(place["tier"], []).append((place["z_mm"], place["z_mm"] + wax["height_mm"], metal))
    if sorted(tiers) != list(range(1, len(tiers) + 1)):
        return ["tiers are numbered from 1"]
    for tier, inside in tiers.items():
        if len({z for z, _, _ in inside}) > 1:
            found.append(f"tier {tier} stands at two heights")
    if min(z for z, _, _ in tiers[1]) < size["base_mm"] + size["trunk_gap_mm"] - 0.001:
        found.append("the lowest tier is too low")
    top = max(top for inside in tiers.values() for _, top, _ in inside)
    free = max(size["rim_mm"], size["height_mm"] - size.get("fill_mm", size["height_mm"]))
    if top + size["cover_mm"] + free > size["height_mm"] + 0.001:
        found.append("height")
    for lower, upper in pairwise(sorted(tiers)):
        free = min(z for z, _, _ in tiers[upper]) - max(top for _, top, _ in tiers[lower])
        if free < rules["between_mm"] - AS_PRINTED:
            found.append(f"tier {upper} is too near tier {lower}")
        if max(m for _, _, m in tiers[upper]) > max(m for _, _, m in tiers[lower]) + 0.001:
            found.append(f"tier {upper} is heavier than tier {lower}")
    return found
