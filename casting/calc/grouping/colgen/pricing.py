"""The pricing problem: sets of waxes for one flask whose reduced profit is best, found by a beam search."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from casting.calc.geometry.infeasibility import grown_room_mm2, half_gap_mm
from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds
from casting.calc.grouping.flask_rules import Family, Item
from casting.calc.quantities.charge import least_button_pct
from casting.calc.quantities.cost import powder_cost, scrap_cost
from casting.calc.values.arrays import Flags, Floats
from casting.calc.values.enums import Section
from casting.calc.values.tolerances import EASE


@dataclass(frozen=True, slots=True)
class Block:
    """Waxes that share a flask or are all left out: those held under one label, or a wax by itself."""

    items: tuple[Item, ...]
    held: bool

    @property
    def keys(self) -> frozenset[str]:
        """The waxes' keys."""
        return frozenset(item.key for item in self.items)

    @property
    def steps(self) -> tuple[int, int]:
        """The thinnest and the heaviest section, as steps."""
        steps = [item.step for item in self.items]
        return min(steps), max(steps)


@dataclass(frozen=True, slots=True)
class PricedSets:
    """Sets of waxes with their reduced profits, best first, and a bound on the reduced profit of all other sets."""

    sets: Iterator[tuple[float, frozenset[str]]]
    """An iterator for one pass: naming a set's waxes takes longer than finding it."""
    unseen_bound: float


class PricingProblem:
    """The waxes of one family, of sections from one step to another, that a flask of one size may take."""

    def __init__(self, bounds: CombinatorialBounds, size: str, blocks: Sequence[Block], steps: tuple[int, int]) -> None:
        rules, first = bounds.rules, blocks[0].items[0]
        day, flask = rules.day, rules.sizes[size]
        self._rules, self.size, self.blocks = rules, size, tuple(blocks)
        self.base = rules.bases[size]
        self.most_g, self.most = bounds.melt_limit_g(first), flask.waxes_max
        self.least_button_g = bounds.least_button_g(first, size)
        self.powder_cost = powder_cost(rules.powder_g[size], day.investment)
        self.button_cost = scrap_cost(1.0, day.alloys[first.wax.alloy], day.rules)
        self.mixed_cost = day.rules.mixed_cost if steps[0] < steps[1] else 0.0
        heaviest = list(Section)[steps[1]]

        def share(item: Item) -> float:
            return least_button_pct(item.wax.section, heaviest, day.rules) / 100

        self.keys = [block.keys for block in blocks]
        self._names = [sorted(keys) for keys in self.keys]
        self.count = np.array([len(block.items) for block in blocks])
        self.metal_g = np.array([sum(item.metal_g for item in block.items) for block in blocks])
        self.button_g = np.array([sum(item.metal_g * share(item) for item in block.items) for block in blocks])
        each = rules.shares(size)
        self.share = np.array([sum(each[item.key] for item in block.items) for block in blocks])
        self.area_mm2, self.room_mm2 = self._areas()
        self.pair = self._pairs()

    def _areas(self) -> tuple[Floats, float]:
        """Rectangles grown by half the gap, and the area for them: a condition of `cannot_share`, not for trees."""
        grow_mm = half_gap_mm(self.base)
        areas = [sum(item.footprint.grown_mm2(grow_mm) for item in block.items) for block in self.blocks]
        footprints = [item.footprint for block in self.blocks for item in block.items]
        return np.array(areas), math.inf if self.base.trunk else grown_room_mm2(footprints, self.base)

    def _pairs(self) -> Flags:
        """Which two blocks may share, by charge, number, held labels and place."""
        many = len(self.blocks)
        pair = np.zeros((many, many), dtype=bool)
        for one in range(many):
            for other in range(one):
                together = [one, other]
                pair[one, other] = pair[other, one] = (
                    not (self.blocks[one].held and self.blocks[other].held)
                    and self.count[together].sum() <= self.most
                    and self._melts(self.metal_g[together].sum(), self.button_g[together].sum())
                    and not any(
                        self._rules.apart(a.key, b.key, self.size)
                        for a in self.blocks[one].items
                        for b in self.blocks[other].items
                    )
                )
        return pair

    def _melts(self, metal_g: Any, button_g: Any) -> Any:
        return metal_g + np.maximum(self.least_button_g, button_g) <= self.most_g

    def price(
        self,
        wax_duals: Mapping[str, float],
        fixed_cost: float,
        per_cost: float,
        floor: float,
        beam: int,
        wanted: int,
        max_occupancy: float = math.inf,
    ) -> PricedSets:
        """Return the sets of waxes whose reduced profit exceeds a floor.

        Parameters
        ----------
        wax_duals : mapping of str to float
            The dual value of each wax, at least 0.
        fixed_cost : float
            What a flask of this size takes off its waxes' dual values.
        per_cost : float
            What one unit of the flask's cost takes off.
        floor : float
            The reduced profit that a set must exceed.
        beam : int
            The most sets kept at each number of blocks.
        wanted : int
            The most sets returned; the others count as unseen.
        max_occupancy : float
            The most occupancy of a base; fuller sets are skipped, and then nothing is proved about them.

        Returns
        -------
        PricedSets
            No set that rules and proofs allow has a reduced profit over the floor other than the sets
            returned and those within the bound on unseen ones.

        Notes
        -----
        Sets grow by one block at a time, best blocks first. A set is kept while the bound on what it can
        grow to exceeds the floor: the dual values of as many more blocks as the flask takes, minus the
        powder and the least button. Where there are too many, the best are kept.
        """
        duals = np.array([sum(wax_duals[key] for key in keys) for keys in self._names])
        order = np.argsort(-duals, kind="stable")
        bare = fixed_cost + per_cost * (self.powder_cost + self.mixed_cost + self.button_cost * self.least_button_g)
        if float(duals[order[: self.most]].sum()) - bare <= floor - EASE:
            return PricedSets(iter(()), -math.inf)
        search = BeamSearch(self, duals[order], order, fixed_cost, per_cost, max_occupancy)
        return search.run(floor, beam, wanted)


class BeamSearch:
    """Sets of blocks of a pricing problem, level by level; blocks are numbered by their dual values, best first."""

    def __init__(
        self,
        problem: PricingProblem,
        duals: Floats,
        order: Any,
        fixed_cost: float,
        per_cost: float,
        max_occupancy: float,
    ) -> None:
        self.problem, self.duals, self.order, self.max_occupancy = problem, duals, order, max_occupancy
        self.bare = fixed_cost + per_cost * (problem.powder_cost + problem.mixed_cost)
        self.per_g = per_cost * problem.button_cost
        self.count, self.metal_g = problem.count[order], problem.metal_g[order]
        self.button_g, self.area_mm2 = problem.button_g[order], problem.area_mm2[order]
        self.share = problem.share[order]
        columns = [duals, self.metal_g, self.button_g, self.area_mm2, self.count.astype(float), self.share]
        self.figures: Floats = np.stack(columns, axis=1)
        self.after = problem.pair[np.ix_(order, order)] & np.triu(np.ones((len(order), len(order)), dtype=bool), 1)

    def run(self, floor: float, beam: int, wanted: int) -> PricedSets:
        """The best sets over the floor, with a beam of the best sets kept at each level."""
        members = np.arange(len(self.duals))[:, None]
        sums = self.figures
        more = self.after
        levels: list[tuple[Floats, Any]] = []
        unseen_bound = -math.inf
        while len(members):
            values = sums[:, 0] - self.bare - self.per_g * np.maximum(self.problem.least_button_g, sums[:, 2])
            levels.append((values[values > floor], members[values > floor]))
            more = self._that_fit(sums, more)
            rows, added, reach = self._hopeful(sums, more, floor)
            if len(rows) > beam:
                best = np.argsort(-reach, kind="stable")
                unseen_bound = max(unseen_bound, float(reach[best[beam]]))
                keep = np.sort(best[:beam])
                rows, added = rows[keep], added[keep]
            members = np.concatenate([members[rows], added[:, None]], axis=1)
            sums = sums[rows] + self.figures[added]
            more = more[rows] & self.after[added]
        return self._best(levels, wanted, unseen_bound)

    def _best(self, levels: Sequence[tuple[Floats, Any]], wanted: int, unseen_bound: float) -> PricedSets:
        """The best sets, as many as wanted; the others count as unseen."""
        every = np.concatenate([values for values, _ in levels])
        falling = np.argsort(-every, kind="stable")
        if len(falling) > wanted:
            unseen_bound = max(unseen_bound, float(every[falling[wanted]]))
        return PricedSets(self._named(every, levels, falling[:wanted]), unseen_bound)

    def _named(
        self, every: Floats, levels: Sequence[tuple[Floats, Any]], order: Any
    ) -> Iterator[tuple[float, frozenset[str]]]:
        starts = np.cumsum([0] + [len(values) for values, _ in levels])
        at = np.searchsorted(starts, order, side="right") - 1
        for place, level, row in zip(order.tolist(), at.tolist(), (order - starts[at]).tolist(), strict=True):
            blocks = self.order[levels[level][1][row]].tolist()
            yield float(every[place]), frozenset[str]().union(*(self.problem.keys[block] for block in blocks))

    def _that_fit(self, sums: Floats, more: Flags) -> Flags:
        """Which blocks each set could still take, one at a time."""
        metal_g, button_g = sums[:, 1:2] + self.metal_g, sums[:, 2:3] + self.button_g
        fits = more & self.problem._melts(metal_g, button_g)
        fits &= sums[:, 3:4] + self.area_mm2 <= self.problem.room_mm2
        if self.max_occupancy < math.inf:
            fits &= sums[:, 5:6] + self.share <= self.max_occupancy
        return np.asarray(fits & (sums[:, 4:5] + self.count <= self.problem.most))

    def _hopeful(self, sums: Floats, more: Flags, floor: float) -> tuple[Any, Any, Floats]:
        """Sets with one more block that may still grow past the floor, and a bound on what each can grow to.

        The blocks that a set could take are in the order of their dual values, so those from the new
        one on, as many as the flask has places, bound what it can gain.
        """
        rows, added = np.nonzero(more)
        if not len(rows):
            return rows, added, np.zeros(0)
        each = more.sum(axis=1)
        start = np.concatenate([[0], np.cumsum(each)[:-1]])
        gained = np.concatenate([[0.0], np.cumsum(self.duals[added])])
        here = np.arange(len(rows))
        places = (self.problem.most - sums[rows, 4]).astype(int)
        last = np.minimum(here + places, (start + each)[rows])
        reach = sums[rows, 0] + gained[last] - gained[here]
        with_new_g = np.maximum(self.problem.least_button_g, sums[rows, 2] + self.button_g[added])
        reach -= self.bare + self.per_g * with_new_g
        keep = reach > floor
        return rows[keep], added[keep], reach[keep]


def pricing_problems(
    bounds: CombinatorialBounds, loose: Sequence[str], windows: str
) -> Iterator[tuple[Family, PricingProblem]]:
    """Yield the pricing problems of these waxes.

    Parameters
    ----------
    bounds : CombinatorialBounds
        The day's rules and the sizes that may be used.
    loose : sequence of str
        Waxes that are in no fixed flask and that some flask takes.
    windows : {"widest", "each"}
        Widest: sections as far apart as may share, for goals that mixing costs nothing in. Each: beside
        these each section by itself, which is not mixed and costs less.

    Yields
    ------
    tuple of (Family, PricingProblem)
        Family by family, smallest name first.
    """
    families: dict[Family, dict[tuple[bool, str], list[Item]]] = {}
    held = bounds.rules.day.held
    for key in sorted(loose):
        item = bounds.rules.items[key]
        families.setdefault(item.family, {}).setdefault((key in held, held.get(key, key)), []).append(item)
    for family in sorted(families):
        blocks = [Block(tuple(items), is_held) for (is_held, _), items in sorted(families[family].items())]
        for steps in _windows(blocks, bounds.rules.day.rules.sections_may_differ_by, windows):
            inside = [block for block in blocks if steps[0] <= block.steps[0] and block.steps[1] <= steps[1]]
            for size in sorted(bounds.usable):
                takes = [b for b in inside if all(size in bounds.rules.alone[item.key] for item in b.items)]
                takes = [b for b in takes if len(b.items) == 1 or bounds.rules.allows(b.keys, size)]
                if takes:
                    yield family, PricingProblem(bounds, size, takes, steps)


def _windows(blocks: Sequence[Block], apart: int, windows: str) -> list[tuple[int, int]]:
    """Sections that may share: the widest ranges with waxes at both ends, and each section."""
    steps = sorted({step for block in blocks for step in block.steps})
    ranges = {(low, max(step for step in steps if step <= low + apart)) for low in steps}
    widest = {one for one in ranges if not any(o != one and o[0] <= one[0] and one[1] <= o[1] for o in ranges)}
    return sorted(widest | ({(step, step) for step in steps} if windows == "each" else set()))
