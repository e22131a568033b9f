"""What may share a flask, charges, powder, kiln shelf, left out, totals."""

from __future__ import annotations

import math
from datetime import datetime
from itertools import combinations

from shapely import LineString, Point, affinity, box

from tests.contract.trees import is_tree, tree_breaches, tree_sized, trunk_g

SECTIONS = ["very_thin", "thin", "medium", "heavy"]
TABLES = {
    "hub_mm": [(51, 19), (64, 24), (77, 27), (90, 32), (102, 36)],
    "waxes_max": [(51, 2), (64, 4), (77, 6), (90, 7), (102, 8)],
}
AS_PRINTED = 0.002


def row(table, diameter):
    """First row at least as large, the last row beyond."""
    for largest, value in table:
        if diameter <= largest + 0.001:
            return value
    return table[-1][1]


def sized(size):
    """A flask size with its defaults."""
    d = size["diameter_mm"]
    own = {k: v for k, v in size.items() if v is not None}
    usual = {
        "outside_mm": d + 4,
        "base_mm": 10,
        "rim_mm": 3,
        "cover_mm": max(13, d / 4),
        **{key: row(table, d) for key, table in TABLES.items()},
    }
    size = usual | (tree_sized(d) if is_tree(own) else {}) | own
    if size.get("wall") != "perforated":
        return size
    return {"sleeve_mm": size["outside_mm"], "sleeve_height_mm": size["height_mm"], "fill_mm": size["height_mm"]} | size


class Lookup:
    """The day by key."""

    def __init__(self, day):
        self.day, self.rules = day, day["rules"]
        self.alloys, self.patterns, self.waxes, self.kilns = (
            {x["key"]: x for x in day[name]} for name in ("alloys", "patterns", "waxes", "kilns")
        )
        self.sizes = {size["key"]: sized(size) for size in day["flask_sizes"]}

    def kind(self, wax):
        return self.patterns[wax["pattern"]]["kind"] if wax.get("stones", "none") == "none" else "stones"

    def metal(self, wax):
        sprue = wax.get("sprue_g") or 0
        sg = self.patterns[wax["pattern"]]["specific_gravity"]
        sprue_sg = self.patterns[wax["sprue_pattern"]]["specific_gravity"] if wax.get("sprue_pattern") else sg
        return ((wax["wax_g"] - sprue) / sg + sprue / sprue_sg) * self.alloys[wax["alloy"]]["specific_gravity"]


def ceil_step(value, step):
    return math.ceil(value / step - 1e-9) * step


def powder_bare(size, investment):
    across, high = size.get("sleeve_mm", size["diameter_mm"]), size.get("fill_mm", size["height_mm"])
    ml = math.pi / 4 * across**2 * high / 1000
    return ml / (1 / investment["specific_gravity"] + investment["water_per_100"] / 100 / 0.998)


def flask_breaches(day, plan):
    """Breaches of the rules about flasks, waxes, bowls and kilns."""
    look = Lookup(day)
    found = []
    placed = [wax["key"] for flask in plan["flasks"] for wax in flask["waxes"]]
    out = [left["key"] for left in plan["left_out"]]
    if sorted(placed + out) != sorted(look.waxes):
        found.append("each wax is in one flask or left out")
    if out != sorted(out):
        found.append("left out is sorted by key")
    for flask in plan["flasks"]:
        found += [f"{flask['label']}: {b}" for b in _flask(flask, look)]
    for key, size in look.sizes.items():
        if sum(f["size"] == key for f in plan["flasks"]) > size["count"]:
            found.append(f"more flasks of {key} than there are")
    labels = [f["label"] for f in plan["flasks"]]
    if len(set(labels)) != len(labels):
        found.append("labels are distinct")
    return found + _kilns(plan, look) + _bowls(plan, look) + _totals(plan, look)


def button_of(metal, heaviest, size, alloy, rules):
    """A share of the metal above it, or grams by diameter."""
    by_diameter = row(rules["button_g_by_diameter"], size["diameter_mm"])
    return max(metal * rules["button_pct"][heaviest] / 100, by_diameter * alloy["specific_gravity"] / 10.36)


def _flask(flask, look):
    rules, size, alloy = look.rules, look.sizes[flask["size"]], look.alloys[flask["alloy"]]
    waxes = [look.waxes[w["key"]] for w in flask["waxes"]]
    steps = [SECTIONS.index(w["section"]) for w in waxes]
    kinds = {look.kind(w) for w in waxes}
    metals = [look.metal(w) for w in waxes]
    trunk = trunk_g(flask, size, alloy)
    button = button_of(sum(metals) + trunk, SECTIONS[max(steps)], size, alloy, rules)
    charge = ceil_step(sum(metals) + trunk + button, rules["charge_step_g"])
    bare = powder_bare(size, look.day["investment"])
    powder = math.ceil(bare * (1 + look.day["investment"]["allowance_pct"] / 100) - 1e-9)
    checks = {
        "one alloy": {w["alloy"] for w in waxes} == {flask["alloy"]},
        "one owner": {w.get("owner", "school") for w in waxes} == {flask["owner"]},
        "one kind": len(kinds) == 1 or (rules["mix_pattern_kinds"] and "stones" not in kinds),
        "kind": flask["kind"] == next(kind for kind in ("stones", "resin", "wax") if kind in kinds),
        "sections": max(steps) - min(steps) <= rules["sections_may_differ_by"],
        "section": flask["section"] == SECTIONS[min(steps)],
        "waxes_max": len(waxes) <= size["waxes_max"],
        "metal_g": all(abs(p["metal_g"] - m) <= 0.00501 for p, m in zip(flask["waxes"], metals, strict=True)),
        "wax_metal_g": abs(flask["wax_metal_g"] - sum(metals)) <= 0.00501,
        "button_g": abs(flask["button_g"] - button) <= 0.00501,
        "charge_g": abs(flask["charge_g"] - charge) < 0.001,
        "crucible": charge / alloy["specific_gravity"]
        <= rules["crucible_ml"] * rules["crucible_fill_pct"] / 100 + 0.001,
        "melt_max": charge <= rules["melt_max_g"] + 0.001,
        "powder_g": flask["powder_g"] == powder,
        "water_g": abs(flask["water_g"] - powder * look.day["investment"]["water_per_100"] / 100) <= 0.0501,
        "pour_c": flask["pour_c"] == alloy["pour_c"],
    }
    found = [name for name, holds in checks.items() if not holds]
    if is_tree(size):
        return found + tree_breaches(flask, waxes, metals, size, look)
    strays = {"trunk_g", "z_mm", "tier"} & {key for one in (flask, *flask["waxes"]) for key in one}
    found += [f"{key} on a cone" for key in sorted(strays)]
    top = min(size["height_mm"] - size["rim_mm"], size.get("fill_mm", size["height_mm"]))
    room = top - size["base_mm"] - size["cover_mm"]
    found += ["height"] if max(w["height_mm"] for w in waxes) > room + 0.001 else []
    return found + _layout(flask, waxes, size, look)


def _layout(flask, waxes, size, look):
    rules, found = look.rules, []
    usable = {
        "wax": size["diameter_mm"] / 2 - rules["wall_mm"],
        "resin": size["diameter_mm"] / 2 - rules["resin_wall_mm"],
    }
    shapes, feet = [], []
    for place, wax in zip(flask["waxes"], waxes, strict=True):
        w, d = wax["width_mm"] / 2, wax["depth_mm"] / 2
        turned = affinity.rotate(box(-w, -d, w, d), place["turn_deg"], origin=(0, 0))
        shapes.append(affinity.translate(turned, place["x_mm"], place["y_mm"]))
        feet.append(Point(place["x_mm"], place["y_mm"]))
        if (
            max(math.hypot(x, y) for x, y in shapes[-1].exterior.coords)
            > usable[look.patterns[wax["pattern"]]["kind"]] + AS_PRINTED
        ):
            found.append(f"{wax['key']} too near the wall")
        allowed = wax["key"] in look.day.get("reach_overruled", ())
        if not allowed and feet[-1].distance(Point(0, 0)) > size["hub_mm"] / 2 + rules["sprue_reach_mm"] + AS_PRINTED:
            found.append(f"{wax['key']} out of reach")
    if len(waxes) == 1 and feet[0] != Point(0, 0):
        found.append("a wax alone stands on the axis")
    for a, b in combinations(range(len(waxes)), 2):
        if shapes[a].distance(shapes[b]) < rules["between_mm"] - AS_PRINTED:
            found.append(f"{waxes[a]['key']} and {waxes[b]['key']} too near")
    for i, foot in enumerate(feet):
        away, hub = foot.distance(Point(0, 0)), size["hub_mm"] / 2
        if away <= hub:
            continue
        path = LineString([(foot.x, foot.y), (foot.x * hub / away, foot.y * hub / away)])
        for j, shape in enumerate(shapes):
            if j != i and path.distance(shape) < rules["sprue_clear_mm"] - AS_PRINTED:
                found.append(f"the way of {waxes[i]['key']} is not clear of {waxes[j]['key']}")
    return found


def _kiln_gaps(plan, look):
    """Flasks stand 25 mm apart where a plain grid of the widest has room for that; the first out nearest the door.

    A kiln that is on stays as it is.
    """
    found, inside = [], {}
    for flask in sorted(plan["flasks"], key=lambda f: datetime.fromisoformat(f["out_at"])):
        inside.setdefault(flask["kiln"], []).append(flask)
    on = set(look.day.get("kiln_on_at", ())) | {
        f["kiln"] for f in plan["flasks"] if f["label"] in look.day.get("poured", ())
    }
    for key, flasks in inside.items():
        kiln, across = look.kilns[key], [look.sizes[f["size"]]["outside_mm"] for f in flasks]
        cell, wall = max(across) + 25, kiln.get("wall_gap_mm", 25)
        columns, rows = (int((kiln[side] - 2 * wall + 25) // cell) for side in ("width_mm", "depth_mm"))
        for (a, wide), (b, other) in combinations(zip(flasks, across, strict=True), 2):
            apart = math.dist((a["kiln_x_mm"], a["kiln_y_mm"]), (b["kiln_x_mm"], b["kiln_y_mm"]))
            if key not in on and columns * rows >= len(flasks) and apart < (wide + other) / 2 + 25 - AS_PRINTED:
                found.append(f"{a['label']} and {b['label']} huddle in {key}, which has room for 25 mm")
            if key not in on and wide == other and a["kiln_y_mm"] > b["kiln_y_mm"] + AS_PRINTED:
                found.append(f"{a['label']} comes out before {b['label']} and stands behind it")
    return found


def _kilns(plan, look):
    found, rules = _kiln_gaps(plan, look), look.rules
    for a, b in combinations(plan["flasks"], 2):
        if a["kiln"] == b["kiln"]:
            apart = math.dist((a["kiln_x_mm"], a["kiln_y_mm"]), (b["kiln_x_mm"], b["kiln_y_mm"]))
            radii = (look.sizes[a["size"]]["outside_mm"] + look.sizes[b["size"]]["outside_mm"]) / 2
            if apart < radii + rules["kiln_gap_mm"] - AS_PRINTED:
                found.append(f"{a['label']} and {b['label']} too near in the kiln")
    for flask in plan["flasks"]:
        kiln, size = look.kilns[flask["kiln"]], look.sizes[flask["size"]]
        room = size["outside_mm"] / 2 + kiln.get("wall_gap_mm", 25)
        x, y = flask["kiln_x_mm"], flask["kiln_y_mm"]
        if min(x, y, kiln["width_mm"] - x, kiln["depth_mm"] - y) < room - AS_PRINTED:
            found.append(f"{flask['label']} too near the kiln's side")
        if size["height_mm"] + rules["kiln_under_mm"] + rules["kiln_over_mm"] > kiln["height_mm"] + 0.001:
            found.append(f"{flask['label']} too high for the kiln")
    return found


def _bowls(plan, look):
    found, rules, investment = [], look.rules, look.day["investment"]
    flasks = {f["label"]: f for f in plan["flasks"]}
    poured = [label for bowl in plan["bowls"] for label in bowl["flasks"]]
    if sorted(poured) != sorted(set(flasks) - set(look.day.get("fixed", []))):
        found.append("each flask to invest is in one bowl")
    most, gloss_min = rules["flasks_per_bowl"], look.day.get("gloss_off_min")
    if gloss_min is not None and gloss_min < investment["working_min"]:
        most = max(1, min(most, math.floor((0.85 * gloss_min - 5) / 1.5 + 1e-9)))
    per_g = 1 / investment["specific_gravity"] + investment["water_per_100"] / 100 / 0.998
    for bowl in plan["bowls"]:
        inside = [flasks[label] for label in bowl["flasks"]]
        bare = sum(powder_bare(look.sizes[f["size"]], investment) for f in inside)
        want = max(sum(f["powder_g"] for f in inside), math.ceil(bare + rules["bowl_extra_g"] - 1e-9))
        if bowl["powder_g"] != want:
            found.append(f"bowl {bowl['flasks']}: powder {bowl['powder_g']}, not {want}")
        if abs(bowl["water_g"] - want * investment["water_per_100"] / 100) > 0.0501:
            found.append(f"bowl {bowl['flasks']}: water")
        if len(inside) > most:
            found.append(f"bowl {bowl['flasks']}: too many flasks")
        if want * per_g > rules["bowl_ml"] / 3 + 0.001 and len(inside) > 1:
            found.append(f"bowl {bowl['flasks']}: too full")
    return found


def _totals(plan, look):
    totals, cost = plan["totals"], 0.0
    charges = {}
    for flask in plan["flasks"]:
        waxes = [look.waxes[w["key"]] for w in flask["waxes"]]
        size, alloy = look.sizes[flask["size"]], look.alloys[flask["alloy"]]
        heaviest = SECTIONS[max(SECTIONS.index(w["section"]) for w in waxes)]
        trunk = trunk_g(flask, size, alloy)
        button = button_of(sum(map(look.metal, waxes)) + trunk, heaviest, size, alloy, look.rules)
        cost += flask["powder_g"] * look.day["investment"]["price_per_kg"] / 1000
        cost += (button + trunk) * alloy["price_per_g"] * look.rules["button_cost_pct"] / 100
        cost += look.rules["mixed_cost"] * (len({w["section"] for w in waxes}) > 1)
        charges[flask["alloy"]] = charges.get(flask["alloy"], 0) + flask["charge_g"]
    checks = {
        "totals.flasks": totals["flasks"] == len(plan["flasks"]),
        "totals.powder_g": totals["powder_g"] == sum(b["powder_g"] for b in plan["bowls"]),
        "totals.water_g": abs(totals["water_g"] - sum(b["water_g"] for b in plan["bowls"])) < 0.001,
        "totals.charge_g": {k: round(v, 3) for k, v in totals["charge_g"].items()}
        == {k: round(v, 3) for k, v in charges.items()},
        "totals.last_pour_at": totals["last_pour_at"] == max((f["out_at"] for f in plan["flasks"]), default=None),
        "totals.cost": abs(totals["cost"] - cost) <= 0.00501,
        "bounds": plan["proof"]["flasks_at_least"] <= len(plan["flasks"])
        and plan["proof"]["left_out_at_least"] <= len(plan["left_out"]),
    }
    return [name for name, holds in checks.items() if not holds]
