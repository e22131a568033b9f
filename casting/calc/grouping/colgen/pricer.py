"""The pricer: solves the pricing problems of some waxes for dual values and adds the columns it finds to the master."""

from __future__ import annotations

import math
from collections.abc import Iterator
from heapq import merge
from itertools import islice, repeat

from casting.calc.geometry.infeasibility import cannot_share
from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds
from casting.calc.grouping.budget import COLUMNS_ADDED, SETS_LOOKED_AT
from casting.calc.grouping.colgen.master import Duals, RestrictedMaster
from casting.calc.grouping.colgen.pricing import PricingProblem, pricing_problems
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.flask_rules import Family
from casting.calc.values.tolerances import EASE

ROOMY = 0.7
"""Sets that fill a base no more than this are not refuted: all of those tried had a layout."""


class Pricer:
    """The pricing problems of a master's waxes, for sections mixed and for each section alone."""

    def __init__(self, evaluator: FlaskEvaluator, bounds: CombinatorialBounds, master: RestrictedMaster) -> None:
        self.evaluator, self.master = evaluator, master
        self._mixed = list(pricing_problems(bounds, master.waxes, "widest"))
        self._alone_too = list(pricing_problems(bounds, master.waxes, "each"))
        for _, problem in self._alone_too:
            for block in problem.blocks:
                master.add(block.keys, problem.size)

    def add_columns(
        self, duals: Duals, beam: int, max_occupancy: float = math.inf, tie: float = 0.0
    ) -> tuple[int, float]:
        """Add the columns of best reduced profit; return how many, and a bound on the reduced profit of any."""
        added, best = 0, 0.0
        for family, problem in self._problems(duals, tie):
            fixed_cost = duals.fixed_cost(problem.size, family)
            found = problem.price(duals.wax, fixed_cost, duals.per_cost, EASE, beam, SETS_LOOKED_AT, max_occupancy)
            best = max(best, found.unseen_bound)
            here = 0
            for profit, keys in found.sets:
                if self.master.is_in_lp(keys, problem.size) or self._is_refuted(keys, problem.size):
                    continue
                best = max(best, profit)
                self.master.add(keys, problem.size)
                here += 1
                if here == COLUMNS_ADDED:
                    break
            added += here
        return added, best

    def best_columns(self, duals: Duals, floor: float, wanted: int, max_occupancy: float, tie: float) -> list[int]:
        """The columns of best reduced profit over a floor, as many as wanted, as numbers of the master's."""
        by_problem: list[Iterator[tuple[float, frozenset[str], str]]] = []
        for family, problem in self._problems(duals, tie):
            fixed_cost = duals.fixed_cost(problem.size, family)
            found = problem.price(duals.wax, fixed_cost, duals.per_cost, floor, 3 * wanted, wanted, max_occupancy)
            by_problem.append((profit, keys, size) for (profit, keys), size in zip(found.sets, repeat(problem.size)))
        falling = ((keys, size) for _, keys, size in merge(*by_problem, key=lambda one: -one[0]))
        allowed = (one for one in falling if not self._is_refuted(*one))
        return [self.master.add(keys, size, to_lp=False) for keys, size in islice(allowed, wanted)]

    def all_columns(self, duals: Duals, floor: float, beam: int, most: int) -> list[int] | None:
        """Every column of a reduced profit over a floor, as numbers of the master's; None if there are too many."""
        listed: list[tuple[frozenset[str], str]] = []
        for family, problem in self._problems(duals, 0.0):
            fixed_cost = duals.fixed_cost(problem.size, family)
            found = problem.price(duals.wax, fixed_cost, duals.per_cost, floor, min(beam, 3 * most), most)
            if found.unseen_bound > floor:
                return None
            listed += [(keys, problem.size) for _, keys in found.sets if not self._is_refuted(keys, problem.size)]
            if len(listed) > most:
                return None
        return sorted({self.master.add(keys, size, to_lp=False) for keys, size in listed})

    def _problems(self, duals: Duals, tie: float) -> list[tuple[Family, PricingProblem]]:
        """Mixed sections and each alone where cost counts; mixed ones only where it does no more than break ties."""
        return self._alone_too if duals.per_cost > tie * duals.per_flask else self._mixed

    def _is_refuted(self, keys: frozenset[str], size: str) -> bool:
        """True if it is proved that these waxes share no flask of a size."""
        known = self.evaluator.refuted.get((keys, size))
        if known is None:
            known = not self.evaluator.rules.melts(keys, size)
            if not known and len(keys) > 2 and self.evaluator.occupancy(keys, size) > ROOMY:
                footprints = [self.evaluator.rules.items[key].footprint for key in sorted(keys)]
                known = cannot_share(footprints, self.evaluator.rules.bases[size])
            self.evaluator.refuted[keys, size] = known
        return known
