"""Integer relaxation over counts: flasks of each size and family, without saying which wax is in which."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds, group_by_sizes
from casting.calc.grouping.budget import RELAXATION_NODES
from casting.calc.grouping.flask_rules import Family, Item
from casting.calc.grouping.highs import columns_of, solve_mip
from casting.calc.quantities.cost import powder_cost, scrap_cost
from casting.calc.values.tolerances import BOUND_EASE, EASE

Column = tuple[str, Family, str]
"""What is counted ("flasks", "button" [g] or "out"), its family, and the size of flasks or the sizes of waxes out."""


class CountRelaxation:
    """An integer program over counts of flasks, by size and family, and of waxes left out.

    Its rows are necessary conditions, so its optimum bounds that of every plan; it is not a plan itself.
    """

    def __init__(self, bounds: CombinatorialBounds, items: Sequence[Item], fixed: Mapping[str, int]) -> None:
        self.bounds = bounds
        self.items = items
        self.fixed = fixed
        self.sizes = sorted(bounds.usable)
        self.families: dict[Family, list[Item]] = {}
        for item in sorted(items, key=lambda item: item.family):
            self.families.setdefault(item.family, []).append(item)
        self.upper: dict[Column, float] = {}
        self.rows: list[tuple[dict[Column, float], float]] = []
        for family, group in self.families.items():
            self._add_family(family, group)
        for size in self.sizes:
            stock = float(bounds.rules.sizes[size].count - fixed.get(size, 0))
            self.rows.append(({column: -1.0 for column in self.upper if column[::2] == ("flasks", size)}, -stock))

    def _add_family(self, family: Family, items: list[Item]) -> None:
        """Add the rows of a family: coefficients by column, and the least that they add up to."""
        bounds, most_g = self.bounds, self.bounds.melt_limit_g(items[0])
        out = self._may_stay_out(family, items)
        self.upper |= {("flasks", family, size): math.inf for size in self.sizes}
        self.upper[("button", family, "")] = math.inf
        for sizes, only in group_by_sizes(bounds, items).items():
            at = {("flasks", family, size): size for size in sorted(sizes)}
            stay = {column: waxes for column, (reach, waxes) in out.items() if reach <= sizes}
            places = {column: float(bounds.rules.sizes[size].waxes_max) for column, size in at.items()}
            room = {column: most_g - bounds.least_button_g(items[0], size) for column, size in at.items()}
            one = dict.fromkeys(stay, 1.0)
            bare = {column: max(p.metal_g for p in waxes) for column, waxes in stay.items()}
            full = {column: max(map(self._shared_g, waxes)) for column, waxes in stay.items()}
            self.rows += [
                (places | one, float(len(only))),
                (room | bare, sum(item.metal_g for item in only) - EASE),
                (dict.fromkeys(at, most_g) | full, sum(map(self._shared_g, only)) - EASE),
                (dict.fromkeys(at, 1.0) | one, float(bounds.fewest_flasks(only).flasks)),
            ]
        self._add_button(family, items, {column: waxes for column, (_, waxes) in out.items()})

    def _add_button(self, family: Family, items: list[Item], out: Mapping[Column, list[Item]]) -> None:
        button: dict[Column, float] = {("button", family, ""): 1.0}
        shares = {column: max(self._button_g(item) for item in waxes) for column, waxes in out.items()}
        least = {("flasks", family, size): -self.bounds.least_button_g(items[0], size) for size in self.sizes}
        self.rows += [
            (button | shares, sum(map(self._button_g, items)) - EASE),
            (button | least, -EASE),
        ]

    def _may_stay_out(self, family: Family, items: list[Item]) -> dict[Column, tuple[frozenset[str], list[Item]]]:
        """Columns for waxes left out, by the sizes that take them; held waxes stay in."""
        out: dict[Column, tuple[frozenset[str], list[Item]]] = {}
        for item in items:
            if item.key not in self.bounds.rules.day.held:
                reach = self.bounds.sizes(item)
                column = ("out", family, " ".join(sorted(reach)))
                out.setdefault(column, (reach, []))[1].append(item)
        self.upper |= {column: float(len(waxes)) for column, (_, waxes) in out.items()}
        return out

    def _shared_g(self, item: Item) -> float:
        return item.metal_g + self._button_g(item)

    def _button_g(self, item: Item) -> float:
        return item.metal_g * self.bounds.share(item)

    def fewest_left_out(self) -> int:
        """Return a lower bound on the waxes left out."""
        return math.ceil(self._solve(self._count("out"), {}) - BOUND_EASE)

    def fewest_first_pieces_out(self) -> int:
        """Return a lower bound on the first pieces left out, other waxes making way for them."""
        firsts = [item for item in self.items if item.wax.piece == 1]
        return CountRelaxation(self.bounds, firsts, self.fixed).fewest_left_out()

    def fewest_flasks(self, left: int) -> int:
        """Return a lower bound on the flasks if at most `left` waxes are left out."""
        by_family = sum(self.bounds.fewest_flasks(items).flasks for items in self.families.values())
        found = self._solve(self._count("flasks"), {"out": left})
        return max(by_family - left, math.ceil(found - BOUND_EASE))

    def least_cost(self, left: int, most_flasks: int | None) -> float:
        """Return a lower bound on the cost with at most these waxes left out and these flasks [currency]."""
        day = self.bounds.rules.day
        prices: dict[Column, float] = {}
        for family in self.families:
            prices[("button", family, "")] = scrap_cost(1.0, day.alloys[family[0]], day.rules)
            for size in self.sizes:
                prices[("flasks", family, size)] = powder_cost(self.bounds.rules.powder_g[size], day.investment)
        most = {"out": left} if most_flasks is None else {"out": left, "flasks": most_flasks}
        return self._solve(prices, most)

    def _count(self, what: str) -> dict[Column, float]:
        return {column: 1.0 for column in self.upper if column[0] == what}

    def _solve(self, prices: Mapping[Column, float], at_most: Mapping[str, int]) -> float:
        """The lower bound that the solver proves; 0 if it proves none."""
        columns = {column: number for number, column in enumerate(sorted(self.upper))}
        if not columns or not prices:
            return 0.0
        rows = [*self.rows]
        for what, most in at_most.items():
            rows.append((dict.fromkeys(self._count(what), -1.0), -float(most)))
        matrix, aim = np.zeros((len(rows), len(columns))), np.zeros(len(columns))
        for number, (row, _) in enumerate(rows):
            for column, figure in row.items():
                matrix[number, columns[column]] = figure
        for column, price in prices.items():
            aim[columns[column]] = price
        found = solve_mip(
            aim,
            columns_of(matrix),
            (np.array([figure for _, figure in rows]), np.full(len(rows), np.inf)),
            np.array([self.upper[column] for column in columns]),
            RELAXATION_NODES,
            continuous=np.array([column[0] == "button" for column in columns]),
        )
        return max(0.0, found.lower_bound) if math.isfinite(found.lower_bound) else 0.0
