"""Bounds against every plan there is, on small days with trees whose stock and crucible are tight."""

import math
from collections import Counter
from dataclasses import replace
from itertools import product

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from casting.calc.grouping import group
from casting.calc.words import Aim, Section
from tests.casting.calc.days import TALL, a_day, a_wax, sizes

STEPS = list(Section)


TREE = replace(TALL, key="76x102 tree", mount="tree", trunk_mm=8.0, trunk_gap_mm=6.0, waxes_max=4)


@st.composite
def tight_days(draw):
    """Waxes 4 x 4 mm, so small that any allowed number stands on any base, on a tree in one tier."""
    waxes = [
        a_wax(
            f"w{number}",
            alloy=draw(st.sampled_from(["sterling", "sterling", "bronze"])),
            wax_g=draw(st.sampled_from([2.0, 4.5, 7.0, 9.5, 12.0, 16.0])),
            width_mm=4.0,
            depth_mm=4.0,
            height_mm=draw(st.sampled_from([25.0, 25.0, 34.6, 60.0])),
            section=draw(st.sampled_from(STEPS)),
            piece=draw(st.integers(1, 2)),
        )
        for number in range(draw(st.integers(1, 5)))
    ]
    counts = {name: draw(st.integers(0, 2)) for name in ("small", "middle", "tall")}
    rules = {"aim": draw(st.sampled_from(list(Aim))), "sections_may_differ_by": draw(st.integers(0, 2))}
    tree = replace(TREE, count=draw(st.integers(1, 2)))
    return a_day(waxes, rules, flask_sizes=(*sizes(**counts), tree))


def powder_g(size):
    """The contract's formula, gypsum 40 water to 100, specific gravity 2.53, 12 % more."""
    volume = math.pi / 4 * size.diameter_mm**2 * size.height_mm / 1000
    return math.ceil(volume * 1.12 / (1 / 2.53 + 0.4 / 0.998) - 1e-9)


def price_of(day, waxes, size):
    """What a flask of these waxes costs; None if the contract forbids it. Layouts aside."""
    rules, steps = day.rules, [STEPS.index(wax.section) for wax in waxes]
    if len({wax.alloy for wax in waxes}) > 1 or max(steps) - min(steps) > rules.sections_may_differ_by:
        return None
    room = size.height_mm - size.base_mm - (size.trunk_gap_mm or 0) - size.cover_mm - size.rim_mm
    if len(waxes) > size.waxes_max or max(wax.height_mm for wax in waxes) > room + 0.001:
        return None
    alloy = day.alloys[waxes[0].alloy]
    metal = sum(wax.wax_g / 0.96 * alloy.specific_gravity for wax in waxes)
    by_diameter = next(g for mm, g in rules.button_g_by_diameter if size.diameter_mm <= mm)
    # A tree in one tier: its trunk is as long as its gap.
    trunk = math.pi / 4 * (size.trunk_mm or 0) ** 2 * (size.trunk_gap_mm or 0) / 1000 * alloy.specific_gravity
    share = (metal + trunk) * (0.25 if Section.HEAVY in {wax.section for wax in waxes} else 0.15)
    button = max(share, by_diameter * alloy.specific_gravity / 10.36)
    charge = math.ceil((metal + trunk + button) / 0.5 - 1e-9) * 0.5
    if charge > 200.001 or charge > 24 * 0.8 * alloy.specific_gravity + 0.001:
        return None
    mixed = 5 if len(set(steps)) > 1 else 0
    return powder_g(size) * 4 / 1000 + (button + trunk) * alloy.price_per_g * 0.1 + mixed


def partitions(waxes):
    """Every way to put waxes into groups or leave them out: (groups, out)."""
    if not waxes:
        yield [], []
        return
    first, rest = waxes[0], waxes[1:]
    for groups, out in partitions(rest):
        yield groups, [first, *out]
        yield [[first], *groups], out
        for i, one in enumerate(groups):
            yield [*groups[:i], [first, *one], *groups[i + 1 :]], out


def best_of_all(day):
    """The best (first pieces out, waxes out, flasks or cost, cost or flasks) of all plans."""
    prices, best = {}, None
    stock = {size.key: size.count for size in day.flask_sizes}
    for groups, out in partitions(list(day.waxes)):
        options = []
        for waxes in groups:
            key = tuple(sorted(wax.key for wax in waxes))
            if key not in prices:
                costs = {size.key: price_of(day, waxes, size) for size in day.flask_sizes}
                prices[key] = [(size, cost) for size, cost in costs.items() if cost is not None]
            options.append(prices[key])
        for choice in product(*options):
            used = Counter(size for size, _ in choice)
            if all(number <= stock[size] for size, number in used.items()):
                firsts = sum(wax.piece == 1 for wax in out)
                goal = (len(choice), round(sum(cost for _, cost in choice), 2))
                goal = goal[::-1] if day.rules.aim is Aim.LEAST_MATERIAL else goal
                score = (firsts, len(out), *goal)
                best = score if best is None else min(best, score)
    return best


def cost_of(day, plan):
    return round(sum(price_of(day, [day.wax(key) for key in one.places], day.size(one.size)) for one in plan.groups), 2)


@settings(max_examples=30, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(tight_days())
def test_no_bound_passes_the_best_of_all_plans_with_trees(day):
    firsts, left, *goal = best_of_all(day)
    flasks, cost = goal[::-1] if day.rules.aim is Aim.LEAST_MATERIAL else goal
    plan = group(day, 30)
    proof = plan.proof
    assert proof.first_left_out_at_least <= firsts
    assert proof.left_out_at_least <= left
    assert proof.flasks_at_least <= flasks
    assert proof.cost_at_least <= cost + 1e-9
    has_firsts = sum(day.wax(out.key).piece == 1 for out in plan.left_out)
    if proof.flasks_proved:
        assert (has_firsts, len(plan.left_out)) == (firsts, left)
        assert day.rules.aim is Aim.LEAST_MATERIAL or len(plan.groups) == flasks
    if proof.proved:
        assert (len(plan.groups), cost_of(day, plan)) == (flasks, cost)
