"""Column generation: an LP over columns that are added while pricing finds any (Gilmore and Gomory 1961)."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence

from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds
from casting.calc.grouping.budget import DIVE_ROUNDS, FEW, LP_ROUNDS, SEEK_HARD, WAXES_EASY, Budget, Step
from casting.calc.grouping.colgen.goals import Goal, GoalLimit, goals_of
from casting.calc.grouping.colgen.master import Duals, LpResult, RestrictedMaster
from casting.calc.grouping.colgen.no_goods import NoGoods
from casting.calc.grouping.colgen.pricer import Pricer
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.flask_rules import Family
from casting.calc.grouping.solution import Candidate, Flask, Flasks
from casting.calc.values.tolerances import EASE

TIE = 0.01
"""Of plans with as few flasks, the cheaper: the most that a unit of cost weighs beside a flask."""

NEAR = 1e-5
"""A cost this near its lower bound meets it."""


class ColumnGeneration:
    """Some waxes of a day and the flasks left for them: master, pricer, no-goods, best plan and its lower bounds."""

    def __init__(
        self,
        evaluator: FlaskEvaluator,
        bounds: CombinatorialBounds,
        plan: Candidate,
        spare: Mapping[str, int],
        budget: Budget,
        fewest: Mapping[Family, int],
        fixed: Flasks = (),
    ) -> None:
        self.evaluator, self.bounds, self.plan = evaluator, bounds, plan
        self.budget, self.fixed = budget, fixed
        self.loose = sorted(plan.left.union(*(flask.keys for flask in plan.flasks)))
        self.master = RestrictedMaster(evaluator, spare, self.loose, fewest)
        self.pricer = Pricer(evaluator, bounds, self.master)
        self.no_goods = NoGoods(evaluator, self.master.columns)
        self.lower_bounds: dict[str, float] = {}
        self.proved_under: dict[str, tuple[float, ...]] = {}
        self.neighbourhoods: dict[frozenset[str], float] = {}
        self._columns_of(plan)

    def resume(self, plan: Candidate, budget: Budget, fewest: Mapping[Family, int], fixed: Flasks) -> None:
        """Resume with another budget and other fixed flasks, from the better of its own plan and the one given."""
        goals = goals_of(self.evaluator, self.loose)
        is_feasible = self.evaluator.kiln_takes([*fixed, *self.plan.flasks])
        own, given = ([self.value(goal, one) for goal in goals] for one in (self.plan, plan))
        self.plan = self.plan if is_feasible and own <= given else plan
        self.budget, self.fixed = budget, fixed
        self.master.fewest = dict(sorted(fewest.items()))

    def value(self, goal: Goal, plan: Candidate | None = None) -> float:
        """What a plan, by default the best one, comes to in a goal."""
        plan = plan or self.plan
        if goal.out:
            return sum(goal.out.get(key, 0.0) for key in plan.left)
        if goal.name == "firsts":
            return 0.0
        return float(len(plan.flasks)) if goal.per_flask else self.evaluator.cost_of(plan.flasks)

    def is_met(self, goal: Goal) -> bool:
        """True if the best plan meets its lower bound in a goal."""
        return self.lower_bounds[goal.name] >= self.value(goal) - (NEAR if goal.per_cost else 0.5)

    def may_stay_out(self, limits: Sequence[GoalLimit]) -> frozenset[str]:
        """Waxes that may be left out: none if the limit of waxes left out is none."""
        if any(limit.goal.name == "left" and limit.upper_bound < 1 for limit in limits):
            return frozenset()
        return frozenset(key for key in self.loose if key not in self.evaluator.rules.day.held)

    def max_flasks(self, goal: Goal, limits: Sequence[GoalLimit]) -> int:
        """The most flasks of any plan within the limits and no worse in the goal."""
        counts = [int(limit.upper_bound) for limit in limits if limit.goal.per_flask]
        counts += [int(self.value(goal))] if goal.per_flask else []
        return min([sum(self.master.spare.values()), len(self.loose), *counts])

    def profit_floor(self, goal: Goal, limits: Sequence[GoalLimit], duals: Duals, best_profit: float) -> float:
        """The least reduced profit of a column in a better plan, if no column's exceeds the best."""
        wanted = self.value(goal) - (0.0 if goal.per_cost else 1.0)
        return duals.lower_bound - self.max_flasks(goal, limits) * best_profit + best_profit - wanted - EASE

    def is_spent(self) -> bool:
        """True if the budget allows no more layouts or MIPs to begin."""
        return self.evaluator.spent > self.budget.layouts or self.evaluator.weighed > self.budget.weighed

    def count_mip(self, numbers: Sequence[int]) -> None:
        """Count the columns of a MIP as work: more waxes make it harder by as much."""
        self.evaluator.weighed += round(len(numbers) * max(1.0, len(self.loose) / WAXES_EASY))

    def solve_lp(self, goal: Goal, limits: Sequence[GoalLimit], step: Step) -> LpResult | None:
        """Solve the LP over columns no fuller than a step allows, adding columns while pricing finds any."""
        return self._generate(goal, limits, step, LP_ROUNDS, (), ())

    def solve_lp_after(
        self, goal: Goal, limits: Sequence[GoalLimit], step: Step, chosen: Collection[int], barred: Collection[int]
    ) -> LpResult | None:
        """The same in a few rounds, with some columns chosen and some barred."""
        return self._generate(goal, limits, step, DIVE_ROUNDS, chosen, barred)

    def _generate(
        self,
        goal: Goal,
        limits: Sequence[GoalLimit],
        step: Step,
        rounds: int,
        chosen: Collection[int],
        barred: Collection[int],
    ) -> LpResult | None:
        found, may_stay_out = None, self.may_stay_out(limits)
        for _ in range(rounds):
            excluded = self.no_goods.excluded(step)
            excluded[sorted(barred)] = True
            found = self.master.solve_lp(goal, limits, may_stay_out, excluded, chosen)
            if found is None or not self.pricer.add_columns(found.duals, FEW, step.full, TIE)[0]:
                break
        return found

    def likely_columns(
        self, goal: Goal, limits: Sequence[GoalLimit], duals: Duals, max_occupancy: float = math.inf
    ) -> list[int]:
        """The columns of best reduced profit that a better plan could have, and those of the best plan."""
        floor = self.profit_floor(goal, limits, duals, 0.0)
        numbers = set(self.pricer.best_columns(duals, floor, self.budget.likely, max_occupancy, TIE))
        return sorted(numbers.union(self._columns_of(self.plan)))

    def all_columns(
        self, goal: Goal, limits: Sequence[GoalLimit], duals: Duals, best_profit: float, most: int
    ) -> list[int] | None:
        """Every column that a better plan could have; None if there are too many."""
        floor = self.profit_floor(goal, limits, duals, best_profit)
        return self.pricer.all_columns(duals, floor, self.budget.sets, most)

    def _columns_of(self, plan: Candidate) -> list[int]:
        """The columns of a plan's flasks."""
        return [self.master.add(flask.keys, flask.size) for flask in plan.flasks]

    def find_layouts(self, chosen: Sequence[int], step: Step) -> bool:
        """True if every one of these columns has a layout, each of which is searched for."""
        found = [self.no_goods.find_layout(number, step) for number in chosen]
        return all(found)

    def adopt(self, goal: Goal, chosen: Sequence[int]) -> bool:
        """Make these columns, which have layouts, the best plan; False if they are no better or not feasible."""
        plan = self._plan_of(chosen)
        if plan is None or self.value(goal, plan) > self.value(goal) - EASE:
            return False
        self.plan = plan
        return True

    def _plan_of(self, chosen: Sequence[int]) -> Candidate | None:
        """The plan of columns that have layouts, each wax in the first that holds it; None if not feasible."""
        held = self.evaluator.rules.day.held
        inside: set[str] = set()
        flasks: list[Flask] = []
        for number in chosen:
            column = self.master.columns[number]
            keys = column.keys - inside
            inside |= keys
            if keys and keys != column.keys and not self.evaluator.fits(keys, column.size, SEEK_HARD):
                return None
            label = next((held[key] for key in sorted(keys) if key in held), "")
            flasks += [Flask(column.size, keys, label)] if keys else []
        is_feasible = self.evaluator.kiln_takes([*self.fixed, *flasks])
        return Candidate(tuple(flasks), frozenset(self.loose) - inside) if is_feasible else None
