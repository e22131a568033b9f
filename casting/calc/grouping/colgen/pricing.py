"""What one flask may take, as far as rules and proofs know: sets of waxes, found by what they are worth."""

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
    """Waxes that stand together or not at all: those held under one label, or a wax by itself."""

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
class Found:
    """Sets of waxes worth more than was asked, the most worth first, and the most that any unseen one is worth."""

    sets: Iterator[tuple[float, frozenset[str]]]
    """To be gone through once: naming a set's waxes takes longer than finding it."""
    unseen: float


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
        """Rectangles grown by half the gap, and the room for them: a condition of `cannot_share`, not for trees."""
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

    def worth(
        self,
        wax_worth: Mapping[str, float],
        asked: float,
        per_cost: float,
        floor: float,
        carried: int,
        wanted: int,
        full: float = math.inf,
    ) -> Found:
        """Return the sets of waxes worth more than a floor.

        Parameters
        ----------
        wax_worth : mapping of str to float
            What each wax is worth, at least 0.
        asked : float
            What a flask of this size takes off that worth.
        per_cost : float
            What one unit of cost takes off.
        floor : float
            Sets worth no more are not wanted.
        carried : int
            The most sets that are carried on with, a number of waxes at a time.
        wanted : int
            The most sets that are given back; the others count as unseen.
        full : float
            How full a base they may make, as `crowding.shares` guesses; fuller ones are passed over, and
            then nothing is proved of them.

        Returns
        -------
        Found
            No set that rules and proofs allow is worth more than the floor, the sets found and
            `unseen` apart.

        Notes
        -----
        Sets grow by one block at a time, the most worth first. A set is carried on while the most
        that it could come to is over the floor: the worth of as many more blocks as the flask
        takes, less the powder and the least button. Where too many could, the best are.
        """
        worth = np.array([sum(wax_worth[key] for key in keys) for keys in self._names])
        order = np.argsort(-worth, kind="stable")
        bare = asked + per_cost * (self.powder_cost + self.mixed_cost + self.button_cost * self.least_button_g)
        if float(worth[order[: self.most]].sum()) - bare <= floor - EASE:
            return Found(iter(()), -math.inf)
        return BeamSearch(self, worth[order], order, asked, per_cost, full).beyond(floor, carried, wanted)


class BeamSearch:
    """Sets of blocks of a stand, level by level; blocks go by their rank in worth."""

    def __init__(
        self, stand: PricingProblem, worth: Floats, order: Any, asked: float, per_cost: float, full: float
    ) -> None:
        self.stand, self.worth, self.order, self.full = stand, worth, order, full
        self.bare = asked + per_cost * (stand.powder_cost + stand.mixed_cost)
        self.per_g = per_cost * stand.button_cost
        self.count, self.metal_g = stand.count[order], stand.metal_g[order]
        self.button_g, self.area_mm2 = stand.button_g[order], stand.area_mm2[order]
        self.share = stand.share[order]
        columns = [worth, self.metal_g, self.button_g, self.area_mm2, self.count.astype(float), self.share]
        self.figures: Floats = np.stack(columns, axis=1)
        self.after = stand.pair[np.ix_(order, order)] & np.triu(np.ones((len(order), len(order)), dtype=bool), 1)

    def beyond(self, floor: float, carried: int, wanted: int) -> Found:
        """The sets of most worth over the floor, with at most so many carried on with at a level."""
        members = np.arange(len(self.worth))[:, None]
        sums = self.figures
        more = self.after
        levels: list[tuple[Floats, Any]] = []
        unseen = -math.inf
        while len(members):
            values = sums[:, 0] - self.bare - self.per_g * np.maximum(self.stand.least_button_g, sums[:, 2])
            levels.append((values[values > floor], members[values > floor]))
            more = self._that_fit(sums, more)
            rows, added, at_most = self._hopeful(sums, more, floor)
            if len(rows) > carried:
                best = np.argsort(-at_most, kind="stable")
                unseen = max(unseen, float(at_most[best[carried]]))
                keep = np.sort(best[:carried])
                rows, added = rows[keep], added[keep]
            members = np.concatenate([members[rows], added[:, None]], axis=1)
            sums = sums[rows] + self.figures[added]
            more = more[rows] & self.after[added]
        return self._most_worth(levels, wanted, unseen)

    def _most_worth(self, levels: Sequence[tuple[Floats, Any]], wanted: int, unseen: float) -> Found:
        """So many sets of most worth; the others count as unseen."""
        every = np.concatenate([values for values, _ in levels])
        falling = np.argsort(-every, kind="stable")
        if len(falling) > wanted:
            unseen = max(unseen, float(every[falling[wanted]]))
        return Found(self._named(every, levels, falling[:wanted]), unseen)

    def _named(
        self, every: Floats, levels: Sequence[tuple[Floats, Any]], order: Any
    ) -> Iterator[tuple[float, frozenset[str]]]:
        starts = np.cumsum([0] + [len(values) for values, _ in levels])
        at = np.searchsorted(starts, order, side="right") - 1
        for place, level, row in zip(order.tolist(), at.tolist(), (order - starts[at]).tolist(), strict=True):
            blocks = self.order[levels[level][1][row]].tolist()
            yield float(every[place]), frozenset[str]().union(*(self.stand.keys[block] for block in blocks))

    def _that_fit(self, sums: Floats, more: Flags) -> Flags:
        """Which blocks each set could still take, one at a time."""
        metal_g, button_g = sums[:, 1:2] + self.metal_g, sums[:, 2:3] + self.button_g
        fits = more & self.stand._melts(metal_g, button_g)
        fits &= sums[:, 3:4] + self.area_mm2 <= self.stand.room_mm2
        if self.full < math.inf:
            fits &= sums[:, 5:6] + self.share <= self.full
        return np.asarray(fits & (sums[:, 4:5] + self.count <= self.stand.most))

    def _hopeful(self, sums: Floats, more: Flags, floor: float) -> tuple[Any, Any, Floats]:
        """Sets with one block more that may still come to more than the floor, and to how much at most.

        Blocks that a set could take stand in the order of their worth, so those from the new one
        on, as many as the flask has places, bound what it can gain.
        """
        rows, added = np.nonzero(more)
        if not len(rows):
            return rows, added, np.zeros(0)
        each = more.sum(axis=1)
        start = np.concatenate([[0], np.cumsum(each)[:-1]])
        gained = np.concatenate([[0.0], np.cumsum(self.worth[added])])
        here = np.arange(len(rows))
        places = (self.stand.most - sums[rows, 4]).astype(int)
        last = np.minimum(here + places, (start + each)[rows])
        at_most = sums[rows, 0] + gained[last] - gained[here]
        with_new_g = np.maximum(self.stand.least_button_g, sums[rows, 2] + self.button_g[added])
        at_most -= self.bare + self.per_g * with_new_g
        keep = at_most > floor
        return rows[keep], added[keep], at_most[keep]


def stands_of(
    bounds: CombinatorialBounds, loose: Sequence[str], windows: str
) -> Iterator[tuple[Family, PricingProblem]]:
    """Yield every stand of these waxes.

    Parameters
    ----------
    bounds : CombinatorialBounds
        The day's rules and the sizes that may be used.
    loose : sequence of str
        Waxes that are in no fixed flask and that some flask takes.
    windows : {"widest", "each"}
        Widest: sections as far apart as may share, where mixing costs nothing that counts. Each:
        beside these, each section by itself, which is not mixed and costs less.

    Yields
    ------
    tuple of (Family, PricingProblem)
        Party by family, smallest name first.
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
