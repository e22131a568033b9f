"""One plain model of a day: which wax goes into which flask, by area, count and melt, layouts aside.

Each flask on the shelf is a slot. A slot is opened for one family and one window of sections. Solved by scipy's
HiGHS within a time; what it has by then is taken.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.quantities.charge import charge_limit
from casting.calc.values.enums import Section

FIRST_OUT, OUT, FLASK = 1e5, 1e4, 1e2
"""Weights that put the goals in their order for any cost under 100 a flask."""

Row = tuple[dict[int, float], float, float]


class Model:
    """Columns: x[wax, slot], then open[slot, kind of filling], then out[wax]."""

    def __init__(self, evaluator: FlaskEvaluator) -> None:
        self.evaluator = evaluator
        self.keys = [key for key in evaluator.rules.items if evaluator.rules.alone[key]]
        counts = {size: min(count, len(self.keys)) for size, count in evaluator.stock.items()}
        self.slots = [size for size, count in counts.items() for _ in range(count)]
        step = evaluator.rules.day.rules.sections_may_differ_by
        families = sorted({evaluator.rules.items[key].family for key in self.keys})
        lows = range(max(1, len(Section) - step))
        self.fillings = [(family, low, low + step) for family in families for low in lows]
        self.opens = len(self.keys) * len(self.slots)
        self.outs = self.opens + len(self.slots) * len(self.fillings)

    def x(self, wax: int, slot: int) -> int:
        """Column: this wax in this slot."""
        return wax * len(self.slots) + slot

    def opened(self, slot: int) -> range:
        """Columns: this slot opened for each filling."""
        return range(self.opens + slot * len(self.fillings), self.opens + (slot + 1) * len(self.fillings))

    def melt_g(self, size: str, filling: int) -> float:
        """Metal that the waxes of a flask may have at most, by the lightest button."""
        (alloy_key, *_), *_ = self.fillings[filling]
        rules, alloy = self.evaluator.rules.day.rules, self.evaluator.rules.day.alloys[alloy_key]
        least = self.evaluator.rules.button_g([self._lightest(alloy_key)], size)
        limit = charge_limit(alloy, rules)
        return min(limit - least, limit / (1 + min(rules.button_pct.values()) / 100)) + 0.01

    def _lightest(self, alloy: str) -> str:
        of_alloy = [key for key in self.keys if self.evaluator.rules.items[key].family[0] == alloy]
        return min(of_alloy, key=lambda key: (self.evaluator.rules.items[key].metal_g, key))

    def rows(self) -> Iterator[Row]:
        """Each constraint: its columns, at least, at most."""
        items = [self.evaluator.rules.items[key] for key in self.keys]
        for i in range(len(items)):
            yield {**{self.x(i, s): 1.0 for s in range(len(self.slots))}, self.outs + i: 1.0}, 1, 1
        for s, size in enumerate(self.slots):
            opened, waxes = self.opened(s), range(len(items))
            base, flask = self.evaluator.rules.bases[size], self.evaluator.rules.sizes[size]
            half = base.between_mm / 2
            room = math.pi * (max(base.usable_mm(item.footprint) for item in items) + half) ** 2
            area = [(p.wax.width_mm + half * 2) * (p.wax.depth_mm + half * 2) - (4 - math.pi) * half**2 for p in items]
            yield dict.fromkeys(opened, 1.0), 0, 1
            yield {**{self.x(i, s): area[i] for i in waxes}, **dict.fromkeys(opened, -room)}, -np.inf, 0
            yield {**{self.x(i, s): 1.0 for i in waxes}, **dict.fromkeys(opened, -flask.waxes_max)}, -np.inf, 0
            melts = {column: -self.melt_g(size, f) for f, column in enumerate(opened)}
            yield {**{self.x(i, s): items[i].metal_g for i in waxes}, **melts}, -np.inf, 0
            for i, item in enumerate(items):
                fit = [f for f, (family, low, high) in enumerate(self.fillings) if family == item.family]
                fit = [f for f in fit if self.fillings[f][1] <= item.step <= self.fillings[f][2]]
                columns = {opened[f]: -1.0 for f in fit} if size in self.evaluator.rules.alone[item.key] else {}
                yield {self.x(i, s): 1.0, **columns}, -np.inf, 0
            if s and self.slots[s - 1] == size:
                yield {**dict.fromkeys(self.opened(s - 1), 1.0), **dict.fromkeys(opened, -1.0)}, 0, np.inf

    def cost(self) -> np.ndarray:
        """What each column costs."""
        price = self.evaluator.rules.day.investment.price_per_kg or 0.0
        weights = np.zeros(self.outs + len(self.keys))
        for s, size in enumerate(self.slots):
            weights[list(self.opened(s))] = FLASK + self.evaluator.rules.powder_g[size] * price / 1000
        for i, key in enumerate(self.keys):
            weights[self.outs + i] = OUT + FIRST_OUT * (self.evaluator.rules.items[key].wax.piece == 1)
        return weights


def assigned(evaluator: FlaskEvaluator, seconds: float) -> list[tuple[str, frozenset[str]]]:
    """Size and waxes of each flask of the model's answer; none if it has no answer in its time."""
    model = Model(evaluator)
    if not model.keys or not model.slots:
        return []
    rows = list(model.rows())
    entries = [(r, column, value) for r, (columns, _, _) in enumerate(rows) for column, value in columns.items()]
    at, columns, values = zip(*entries, strict=True)
    cost = model.cost()
    matrix = coo_array((values, (at, columns)), shape=(len(rows), len(cost))).tocsr()
    limits = LinearConstraint(matrix, [low for _, low, _ in rows], [high for *_, high in rows])
    options = {"time_limit": seconds, "mip_rel_gap": 1e-6}
    found = milp(cost, integrality=np.ones(len(cost)), bounds=Bounds(0, 1), constraints=limits, options=options)
    if found.x is None:
        return []
    groups = []
    for s, size in enumerate(model.slots):
        keys = frozenset(key for i, key in enumerate(model.keys) if found.x[model.x(i, s)] > 0.5)
        if keys:
            groups.append((size, keys))
    return groups
