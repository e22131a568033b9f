"""Small random days against every plan there is: `python -m tests.bench.small_days --days 300`.

The days are tight in stock, crucible and kiln, their sizes not nested, with owners, resin, trees, held and fixed waxes.
Rules and prices are written here independently, from the contract; layouts and kiln loads come from the longest
search of the program itself. What it misses only makes the best plan here worse, so a bound above that is false.
"""

from __future__ import annotations

import argparse
import math
import random
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache

from casting.calc.geometry.shapes import Base, Footprint, TreeWax, Trunk
from casting.calc.grouping.group import group
from casting.calc.kiln.loading import ShelfFlask, load_kilns
from casting.calc.layout.search import find_layout
from casting.calc.layout.tree import find_tree
from casting.calc.values.day_input import DayInput, FlaskSize, Kiln, Previous, Wax
from casting.calc.values.day_plan import Grouping
from casting.calc.values.enums import Aim, Kind, Section
from casting.calc.values.errors import Refused
from tests.days.day_input import BRONZE, MIDDLE, STERLING, TALL, a_day, a_wax

STEPS = list(Section)
TREE = replace(TALL, key="tree", mount="tree", trunk_mm=8.0, trunk_gap_mm=6.0)
SHAPES = [(4, 4), (8, 4), (12, 9), (22, 5), (24, 13), (31, 6)]
WAX_SG = {"wax": 0.96, "resin": 1.12}
HARD = 58
EFFORT = 30

Score = tuple[int, int, float, float]
Used = frozenset[tuple[tuple[str, str], int]]


def a_small_day(seed: int, most: int = 9) -> DayInput:
    """A random day of 1 to `most` waxes; the same seed gives the same day."""
    chance = random.Random(f"small day {seed}")
    waxes = [_wax(chance, number) for number in range(chance.randint(1, most))]
    sizes: tuple[FlaskSize, ...] = (
        replace(MIDDLE, count=chance.randint(1, 4), hub_mm=chance.choice([12, 24, 30]), waxes_max=chance.randint(2, 5)),
        FlaskSize(
            "low", 88.9, 50.0, 93, chance.randint(0, 2), 10, chance.choice([16, 32]), 3, 13, chance.randint(2, 6)
        ),
        FlaskSize(
            "slim", 50.8, 88.0, 55, chance.randint(0, 2), 10, chance.choice([15, 26]), 3, 13, chance.randint(1, 4)
        ),
    )
    if chance.random() < 0.25:
        sizes = (*sizes, replace(TREE, count=chance.randint(1, 2), waxes_max=chance.randint(2, 3)))
    side_mm = chance.choice([400.0, 400.0, 190.0, 125.0])
    rules = {
        "aim": chance.choice(list(Aim)),
        "sections_may_differ_by": chance.randint(0, 2),
        "mix_pattern_kinds": chance.random() < 0.3,
        "melt_max_g": chance.choice([200, 150, 90]),
        "button_g_by_diameter": chance.choice([((51, 10), (64, 15), (102, 35)), ((51, 5), (64, 25), (102, 70))]),
    }
    kilns = (Kiln("k1", side_mm, chance.choice([side_mm, 140.0]), 250, 250, 150, 25),)
    day = a_day(waxes, rules, flask_sizes=sizes, kilns=kilns)
    return _with_kept(day, chance)


def _wax(chance: random.Random, number: int) -> Wax:
    width, depth = chance.choice(SHAPES)
    pattern = chance.choice(["wax"] * 5 + ["resin"])
    return a_wax(
        f"w{number}",
        alloy=chance.choice(["sterling"] * 4 + ["bronze"]),
        pattern=pattern,
        owner=chance.choice(["school"] * 5 + ["S1"]),
        wax_g=chance.choice([1.0, 2.0, 4.5, 7.0, 9.5, 12.0]),
        width_mm=float(width),
        depth_mm=float(depth),
        height_mm=chance.choice([18.0, 24.0, 24.0, 34.6, 55.0]),
        section=chance.choice([*STEPS, Section.MEDIUM, Section.MEDIUM]),
        piece=chance.randint(1, 2),
    )


def _with_kept(day: DayInput, chance: random.Random) -> DayInput:
    """Now and then a held wax or two, or a flask of the plan before that is fixed; if the rules allow it."""
    keys = [wax.key for wax in day.waxes]
    some = chance.sample(keys, min(len(keys), chance.randint(1, 2)))
    what = chance.random()
    if what < 0.25:
        kept = replace(day, held=dict.fromkeys(some, "H"))
    elif what < 0.4:
        size = chance.choice(day.flask_sizes)
        kept = replace(day, previous={"X": Previous(size.key, tuple(sorted(some)))}, fixed=("X",))
    else:
        return day
    try:
        group(kept, 1)
    except Refused:
        return day
    return kept


def powder_g(size: FlaskSize) -> int:
    """The contract's formula, gypsum 40 water to 100, specific gravity 2.53, 12 % more."""
    volume = math.pi / 4 * size.diameter_mm**2 * size.height_mm / 1000
    return math.ceil(volume * 1.12 / (1 / 2.53 + 0.4 / 0.998) - 1e-9)


def price_of(day: DayInput, waxes: list[Wax], size: FlaskSize) -> float | None:
    """What a flask of these waxes costs; None if the contract forbids it or no layout is found."""
    rules, steps = day.rules, [STEPS.index(wax.section) for wax in waxes]
    families = {(wax.alloy, wax.owner, "" if rules.mix_pattern_kinds else wax.pattern) for wax in waxes}
    room_mm = size.height_mm - size.base_mm - (size.trunk_gap_mm or 0) - size.cover_mm - size.rim_mm
    if len(families) > 1 or max(steps) - min(steps) > rules.sections_may_differ_by or len(waxes) > size.waxes_max:
        return None
    if max(wax.height_mm for wax in waxes) > room_mm + 0.001:
        return None
    if _melted(day, waxes, size, size.trunk_gap_mm or 0) is None:
        return None
    trunk_mm = _stand(waxes, size)
    return None if trunk_mm is None else _melted(day, waxes, size, trunk_mm)


def _melted(day: DayInput, waxes: list[Wax], size: FlaskSize, trunk_mm: float) -> float | None:
    """What the flask costs with a trunk of this length; None if it is more than one melt."""
    rules, alloy = day.rules, {"sterling": STERLING, "bronze": BRONZE}[waxes[0].alloy]
    trunk = math.pi / 4 * (size.trunk_mm or 0) ** 2 * trunk_mm / 1000 * alloy.specific_gravity
    metal = trunk + sum(wax.wax_g / WAX_SG[wax.pattern] * alloy.specific_gravity for wax in waxes)
    at_least = next(g for mm, g in rules.button_g_by_diameter if size.diameter_mm <= mm)
    share = metal * (0.25 if Section.HEAVY in {wax.section for wax in waxes} else 0.15)
    button = max(share, at_least * alloy.specific_gravity / 10.36)
    charge = math.ceil((metal + button) / 0.5 - 1e-9) * 0.5
    if charge > min(rules.melt_max_g, 24 * 0.8 * alloy.specific_gravity) + 0.001:
        return None
    mixed = 5 if len({wax.section for wax in waxes}) > 1 else 0
    return powder_g(size) * 4 / 1000 + (button + trunk) * (alloy.price_per_g or 0) * 0.1 + mixed


def _stand(waxes: list[Wax], size: FlaskSize) -> float | None:
    """How long a trunk these waxes stand on, 0 on a cone; None if no layout is found."""
    if size.mount == "tree":
        alloy_g = {"sterling": STERLING, "bronze": BRONZE}[waxes[0].alloy].specific_gravity
        trees = [
            TreeWax(_shape(wax), wax.height_mm, wax.wax_g / WAX_SG[wax.pattern] * alloy_g)
            for wax in sorted(waxes, key=lambda wax: wax.key)
        ]
        trunk = Trunk(8.0, 6.0, size.base_mm, size.height_mm - size.cover_mm - size.rim_mm)
        places = find_tree(trees, Base(size.diameter_mm, size.hub_mm, 6, 7, 3, trunk))
        return max(place.z_mm for place in places) - size.base_mm if places else None
    shapes = sorted((_shape(wax) for wax in waxes), key=lambda one: (one.width_mm, one.depth_mm, one.wall_mm))
    return 0.0 if _laid(tuple(shapes), size.diameter_mm, size.hub_mm) else None


def _shape(wax: Wax) -> Footprint:
    return Footprint(wax.width_mm, wax.depth_mm, 10.0 if wax.pattern == "resin" else 6.5)


@cache
def _laid(shapes: tuple[Footprint, ...], diameter_mm: float, hub_mm: float) -> bool:
    return find_layout(shapes, Base(diameter_mm, hub_mm, 6, 7, 3), HARD) is not None


@dataclass
class EveryPlan:
    """All plans of a day, by the waxes still waiting: for each way to use flasks, the best of the rest."""

    day: DayInput

    def __post_init__(self) -> None:
        self.fixed = [self.day.previous[label] for label in self.day.fixed]
        gone = {key for flask in self.fixed for key in flask.waxes}
        self.waxes = [wax for wax in self.day.waxes if wax.key not in gone]
        self.stock = Counter({size.key: size.count for size in self.day.flask_sizes})
        self.stock.subtract(flask.size for flask in self.fixed)
        self.ends = self._ends()

    def _group(self, mask: int) -> list[Wax]:
        return [wax for i, wax in enumerate(self.waxes) if mask >> i & 1]

    def _options(self, mask: int) -> Iterator[tuple[tuple[str, str], float]]:
        """Size and kind of flasks that take these waxes, and what each costs."""
        waxes = self._group(mask)
        labels = {self.day.held.get(wax.key) for wax in waxes} - {None}
        everyone = {key for key, label in self.day.held.items() if label in labels}
        if len(labels) > 1 or not everyone <= {wax.key for wax in waxes}:
            return
        kind = "resin" if any(wax.pattern == "resin" for wax in waxes) else "wax"
        for size in self.day.flask_sizes:
            price = price_of(self.day, waxes, size) if self.stock[size.key] > 0 else None
            if price is not None:
                yield (size.key, kind), price

    def _ends(self) -> dict[Used, tuple[int, int, float]]:
        """For each bag of flasks, the best (firsts out, left out, cost) of the waxes over all partitions."""
        full = (1 << len(self.waxes)) - 1
        options = {mask: list(self._options(mask)) for mask in range(1, full + 1)}
        options = {mask: found for mask, found in options.items() if found}
        at: dict[int, dict[Used, tuple[int, int, float]]] = {full: {frozenset(): (0, 0, 0.0)}}
        for mask in range(full, 0, -1):
            low = mask & -mask
            first = self._group(low)[0]
            for used, (firsts, left, cost) in at.pop(mask, {}).items():
                if first.key not in self.day.held:
                    _keep(at, mask ^ low, used, (firsts + (first.piece == 1), left + 1, cost))
                for some, flasks in options.items():
                    if some & low and some & mask == some:
                        for flask, price in flasks:
                            if more := self._with(used, flask):
                                _keep(at, mask ^ some, more, (firsts, left, cost + price))
        return at.get(0, {})

    def _with(self, used: Used, flask: tuple[str, str]) -> Used | None:
        counts = Counter(dict(used))
        counts[flask] += 1
        of_size = sum(count for (size, _), count in counts.items() if size == flask[0])
        return frozenset(counts.items()) if of_size <= self.stock[flask[0]] else None

    def _load(self, used: Used) -> bool:
        flasks = [(size, kind) for (size, kind), count in sorted(used) for _ in range(count)]
        for before in self.fixed:
            kinds = {self.day.wax(key).pattern for key in before.waxes}
            flasks.append((before.size, "resin" if "resin" in kinds else "wax"))
        sizes = [(self.day.size(size), Kind(kind)) for size, kind in flasks]
        shelf = [
            ShelfFlask(str(i), size.outside_mm, size.diameter_mm, size.height_mm, kind)
            for i, (size, kind) in enumerate(sizes)
        ]
        return load_kilns(self.day.kilns, self.day.firings, self.day.rules, shelf) is not None

    def best(self) -> Score:
        """First pieces out, waxes out, then flasks and cost in the order of the aim."""
        fixed_cost = sum(
            price_of(self.day, [self.day.wax(key) for key in flask.waxes], self.day.size(flask.size)) or 0.0
            for flask in self.fixed
        )
        scores = []
        for used, (firsts, left, cost) in self.ends.items():
            flasks = sum(count for _, count in used) + len(self.fixed)
            scores.append((aims(self.day, firsts, left, flasks, cost + fixed_cost), used))
        return next(score for score, used in sorted(scores, key=lambda one: one[0]) if self._load(used))


def _keep(at: dict, mask: int, used: Used, score: tuple[int, int, float]) -> None:
    ways = at.setdefault(mask, {})
    if used not in ways or score < ways[used]:
        ways[used] = score


def aims(day: DayInput, firsts: int, left: int, flasks: int, cost: float) -> Score:
    """The goals in the order of the day's aim, cost to 0.01."""
    goal = (flasks, round(cost, 2))
    return (firsts, left, *(goal[::-1] if day.rules.aim is Aim.LEAST_MATERIAL else goal))


def score_of(day: DayInput, plan: Grouping) -> Score:
    """How a plan stands, by the prices here."""
    prices = [price_of(day, [day.wax(key) for key in one.places], day.size(one.size)) or 0.0 for one in plan.groups]
    firsts = sum(day.wax(out.key).piece == 1 for out in plan.left_out)
    return aims(day, firsts, len(plan.left_out), len(plan.groups), sum(prices))


def wrongs(day: DayInput, plan: Grouping, best: Score) -> list[str]:
    """What the proof of a plan claims that the best of all plans denies."""
    score, proof = score_of(day, plan), plan.proof
    firsts, left, *goal = min(best, score)
    flasks, cost = goal[::-1] if day.rules.aim is Aim.LEAST_MATERIAL else goal
    bounds = {
        "first pieces out": (proof.first_left_out_at_least, firsts),
        "left out": (proof.left_out_at_least, left),
        "flasks": (proof.flasks_at_least, flasks),
        "cost": (proof.cost_at_least, cost + 1e-9),
    }
    found = [
        f"{what}: bound {bound}, but {least} is possible" for what, (bound, least) in bounds.items() if bound > least
    ]
    # What is proved of flasks comes after cost only where least material is asked.
    proved = 3 if day.rules.aim is Aim.FEWEST_POURS else 2
    if proof.flasks_proved and score[:proved] > best[:proved]:
        found.append(f"flasks said to be proved: {score}, but {best} is possible")
    if proof.proved and score > best:
        found.append(f"said to be proved: {score}, but {best} is possible")
    return found


def tried(
    seed: int, most: int = 9, grouped: Callable[[DayInput, int], Grouping] = group
) -> tuple[list[str], bool, bool]:
    """What is wrong with the plan of a small day, whether it is the best, whether it says so."""
    day = a_small_day(seed, most)
    plan, best = grouped(day, EFFORT), EveryPlan(day).best()
    return wrongs(day, plan, best), score_of(day, plan) <= best, plan.proof.proved


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--days", type=int, default=300)
    parser.add_argument("--from", type=int, default=0, dest="start")
    asked = parser.parse_args()
    false = best = proved = 0
    for seed in range(asked.start, asked.start + asked.days):
        wrong, is_best, is_proved = tried(seed)
        false, best, proved = false + bool(wrong), best + is_best, proved + is_proved
        for line in wrong:
            print(f"seed {seed}: {line}", flush=True)
    print(f"{asked.days} small days: {false} with a false claim, {best} plans the best there is, {proved} proved")


if __name__ == "__main__":
    main()
