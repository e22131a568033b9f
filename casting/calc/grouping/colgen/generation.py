"""Flasks worth having, found by what the programme in parts says each wax is worth (Gilmore and Gomory 1961)."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from heapq import merge
from itertools import islice, repeat

from casting.calc.geometry.infeasibility import cannot_share
from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds
from casting.calc.grouping.budget import COLUMNS_ADDED, SETS_LOOKED_AT, WAXES_EASY, Budget
from casting.calc.grouping.colgen.master import Duals, Goal, GoalLimit, RestrictedMaster
from casting.calc.grouping.colgen.no_goods import NoGoods
from casting.calc.grouping.colgen.pricing import PricingProblem, stands_of
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.flask_rules import Family
from casting.calc.grouping.solution import Candidate, Flasks
from casting.calc.values.tolerances import EASE

TIE = 0.01
"""Of plans with as few flasks, the cheaper: a unit of cost weighs at most so much of a flask."""

ROOMY = 0.7
"""Of what is no fuller than this no proof is sought that it has no layout: all of those tried had one."""


class Pricing:
    """Some waxes of a day, the flasks left on the shelf, the best plan of them so far and the flasks known."""

    def __init__(
        self,
        evaluator: FlaskEvaluator,
        bounds: CombinatorialBounds,
        plan: Candidate,
        spare: Mapping[str, int],
        effort: Budget,
        at_least: Mapping[Family, int],
        fixed: Flasks = (),
    ) -> None:
        self.evaluator, self.plan, self.effort, self.fixed = evaluator, plan, effort, fixed
        self.loose = sorted(plan.left.union(*(flask.keys for flask in plan.flasks)))
        self.ledger = RestrictedMaster(evaluator, spare, self.loose, at_least)
        self.stands: dict[str, list[tuple[Family, PricingProblem]]] = {
            windows: list(stands_of(bounds, self.loose, windows)) for windows in ("widest", "each")
        }
        self.strikes = NoGoods(evaluator, self.ledger.columns)
        self._bounds = bounds
        self._groups: set[frozenset[str]] = set()
        self.least: dict[str, float] = {}
        self._under: dict[str, tuple[float, ...]] = {}
        for _, stand in self.stands["each"]:
            for block in stand.blocks:
                self.ledger.add(block.keys, stand.size)
        for flask in plan.flasks:
            self.ledger.add(flask.keys, flask.size)

    def value(self, goal: Goal, plan: Candidate | None = None) -> float:
        """How a plan stands by a goal; by default the best one."""
        plan = plan or self.plan
        if goal.out:
            return sum(goal.out.get(key, 0.0) for key in plan.left)
        if goal.name == "firsts":
            return 0.0
        return float(len(plan.flasks)) if goal.per_flask else self.evaluator.cost_of(plan.flasks)

    def _may_stay_out(self, kept: Sequence[GoalLimit]) -> frozenset[str]:
        """Waxes that may be left out: none once a plan leaves none."""
        if any(limit.goal.name == "left" and limit.most < 1 for limit in kept):
            return frozenset()
        return frozenset(key for key in self.loose if key not in self.evaluator.rules.day.held)

    def spent(self) -> bool:
        """True if no more work may be begun."""
        return self.evaluator.spent > self.effort.layouts or self.evaluator.weighed > self.effort.weighed

    def _weigh(self, numbers: Sequence[int]) -> None:
        """Count columns that are chosen among: more waxes make the choice harder by as much."""
        self.evaluator.weighed += round(len(numbers) * max(1.0, len(self.loose) / WAXES_EASY))

    def _priced(self, worth: Duals, sets: int, full: float = math.inf, tie: float = 0.0) -> tuple[int, float]:
        """Enter the flasks that earn most; return how many are new, and the most that any can earn."""
        added, over = 0, 0.0
        for family, stand in self._stands(worth, tie):
            asked = worth.asked(stand.size, family)
            found = stand.worth(worth.wax, asked, worth.per_cost, EASE, sets, SETS_LOOKED_AT, full)
            over = max(over, found.unseen)
            taken = 0
            for earns, keys in found.sets:
                if self.ledger.weighs(keys, stand.size) or self._refuted(keys, stand.size):
                    continue
                over = max(over, earns)
                self.ledger.add(keys, stand.size)
                taken += 1
                if taken == COLUMNS_ADDED:
                    break
            added += taken
        return added, over

    def _stands(self, worth: Duals, tie: float) -> list[tuple[Family, PricingProblem]]:
        """Sections mixed and each alone where that costs; mixed only where cost breaks no more than a tie."""
        return self.stands["each" if worth.per_cost > tie * worth.per_flask else "widest"]

    def _refuted(self, keys: frozenset[str], size: str) -> bool:
        """True if it is proved that these waxes share no flask of a size."""
        known = self.evaluator.refuted.get((keys, size))
        if known is None:
            known = not self.evaluator.rules.melts(keys, size)
            if not known and len(keys) > 2 and self.evaluator.occupancy(keys, size) > ROOMY:
                footprints = [self.evaluator.rules.items[key].footprint for key in sorted(keys)]
                known = cannot_share(footprints, self.evaluator.rules.bases[size])
            self.evaluator.refuted[keys, size] = known
        return known

    def _floor(self, goal: Goal, kept: Sequence[GoalLimit], worth: Duals, over: float) -> float:
        """What a flask must earn at least to be in a better plan."""
        wanted = self.value(goal) - (0.0 if goal.per_cost else 1.0)
        return worth.least - self._most_flasks(goal, kept) * over + over - wanted - EASE

    def _likely(self, goal: Goal, kept: Sequence[GoalLimit], worth: Duals, full: float = math.inf) -> list[int]:
        """Columns that earn most of those that a better plan could have, beside the plan's."""
        floor, most = self._floor(goal, kept, worth, 0.0), self.effort.likely
        earning: list[Iterator[tuple[float, frozenset[str], str]]] = []
        for family, stand in self._stands(worth, TIE):
            asked = worth.asked(stand.size, family)
            found = stand.worth(worth.wax, asked, worth.per_cost, floor, 3 * most, most, full)
            earning.append((earns, keys, size) for (earns, keys), size in zip(found.sets, repeat(stand.size)))
        falling = ((keys, size) for _, keys, size in merge(*earning, key=lambda one: -one[0]))
        allowed = (one for one in falling if not self._refuted(*one))
        numbers = {self.ledger.add(keys, size, weighed=False) for keys, size in islice(allowed, most)}
        return sorted(numbers.union(self.ledger.add(flask.keys, flask.size) for flask in self.plan.flasks))

    def _all(self, goal: Goal, kept: Sequence[GoalLimit], worth: Duals, over: float, most: int) -> list[int] | None:
        """Every column that a better plan could have; None if they are more than so many."""
        floor, listed = self._floor(goal, kept, worth, over), []
        for family, stand in self._stands(worth, 0.0):
            asked = worth.asked(stand.size, family)
            found = stand.worth(worth.wax, asked, worth.per_cost, floor, min(self.effort.sets, 3 * most), most)
            if found.unseen > floor:
                return None
            listed += [(keys, stand.size) for _, keys in found.sets if not self._refuted(keys, stand.size)]
            if len(listed) > most:
                return None
        return sorted({self.ledger.add(keys, size, weighed=False) for keys, size in listed})

    def _most_flasks(self, goal: Goal, kept: Sequence[GoalLimit]) -> int:
        """No plan that matters has more flasks than this."""
        counts = [int(limit.most) for limit in kept if limit.goal.per_flask]
        counts += [int(self.value(goal))] if goal.per_flask else []
        return min([sum(self.ledger.spare.values()), len(self.loose), *counts])
