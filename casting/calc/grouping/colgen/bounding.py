"""Waxes shared out all at once, goal by goal: bounds that no plan can better, and better plans.

Flasks worth having are found by what the programme in parts says each wax is worth (Gilmore and
Gomory 1961); when no flask earns anything, its least is a bound. A flask that falls short of earning
by more than a plan can still gain is in no better plan: the others, listed, settle it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from casting.calc.grouping.budget import FEW, LP_ROUNDS, STEPS, WAXES_EASY, Budget
from casting.calc.grouping.colgen.diving import Seeking
from casting.calc.grouping.colgen.goals import goals_of, most_of
from casting.calc.grouping.colgen.master import Duals, Goal, GoalLimit
from casting.calc.grouping.flask_rules import Family, Item
from casting.calc.grouping.solution import Candidate, Flasks
from casting.calc.values.tolerances import EASE

NEAR = 1e-5
"""A cost as near its bound as this is the least."""

NONE = np.zeros(0, dtype=bool)


class Cover(Seeking):
    """Some waxes of a day, the flasks left on the shelf, the best plan of them so far and its bounds."""

    def again(self, plan: Candidate, effort: Budget, at_least: Mapping[Family, int], fixed: Flasks) -> None:
        """Go on where the cover stood, with more effort, beside other flasks; the better plan that stands stays."""
        goals = goals_of(self.evaluator, self.loose)
        known = self.evaluator.kiln_takes([*fixed, *self.plan.flasks])
        mine, given = ([self.value(goal, one) for goal in goals] for one in (self.plan, plan))
        self.plan = self.plan if known and mine <= given else plan
        self.effort, self.fixed = effort, fixed
        self.ledger.at_least = dict(sorted(at_least.items()))

    def met(self, goal: Goal) -> bool:
        """True if no plan can better the best one in a goal whose bound is known."""
        return self.least[goal.name] >= self.value(goal) - (NEAR if goal.per_cost else 0.5)

    def pursue(
        self, goal: Goal, before: Sequence[Goal], slack: Mapping[str, float], *, only_bound: bool = False
    ) -> None:
        """Better the plan by a goal, and bound what plans no worse in the goals before can come to.

        Parameters
        ----------
        goal : Goal
            The goal.
        before : sequence of Goal
            Those before it, already pursued.
        slack : mapping of str to float
            By how much more than its bound each of those may be here in a plan of the whole day that
            is no worse than the whole day's.
        only_bound : bool
            Whether the plan is to stay as it is.
        """
        kept = [GoalLimit(one, most_of(one, self.value(one))) for one in before]
        looser = [GoalLimit(one, most_of(one, self.least[one.name] + slack.get(one.name, 0.0))) for one in before]
        looser = [max(one, other, key=lambda limit: limit.most) for one, other in zip(kept, looser, strict=True)]
        self._begin(goal, looser)
        worth, over = (None, 0.0) if self.met(goal) else self._bounded(goal, looser)
        if worth is None or only_bound or self.met(goal):
            return
        same = looser == kept
        whole = same and not goal.out and self._settled(goal, kept, worth, over, 3 * self.effort.likely)
        if goal.per_cost and len(self.loose) > WAXES_EASY:
            self._in_groups(goal)
        else:
            for step in STEPS if whole else self._steps():
                while not self.met(goal) and self._sought(goal, kept, step):
                    whole = whole or (same and self._settled(goal, kept, worth, over, 3 * self.effort.likely))
        if same and not whole and not self.met(goal):
            self._settled(goal, kept, worth, over, self.effort.listed)

    def _begin(self, goal: Goal, kept: Sequence[GoalLimit]) -> None:
        """Start from a bound that was proved before, if as much at least was allowed then."""
        under = tuple(limit.most for limit in kept)
        then = self._under.get(goal.name)
        if then is None or any(now > before + EASE for now, before in zip(under, then, strict=True)):
            self.least[goal.name] = 0.0
        self._under[goal.name] = under
        if goal.per_flask and self.value(goal) > EASE:
            self.least[goal.name] = max(self.least[goal.name], self._needed(kept))

    def _needed(self, kept: Sequence[GoalLimit]) -> float:
        """Flasks that figures alone prove, a flask of its own for each wax that may stay out."""
        families: dict[Family, list[Item]] = {}
        for item in (self.evaluator.rules.items[key] for key in self.loose):
            if self._bounds.sizes(item):
                families.setdefault(item.family, []).append(item)
        out = min((int(limit.most) for limit in kept if limit.goal.name == "left"), default=len(self.loose))
        return max(0.0, float(sum(self._bounds.fewest_flasks(items).flasks for items in families.values()) - out))

    def _bounded(self, goal: Goal, kept: Sequence[GoalLimit]) -> tuple[Duals | None, float]:
        """Raise the bound of a goal; return what it rests on, and the most that any flask earns by it."""
        out, most = self._may_stay_out(kept), self._most_flasks(goal, kept)
        best: tuple[float, Duals | None, float] = (-math.inf, None, 0.0)
        for _ in range(LP_ROUNDS):
            parts = self.ledger.in_parts(goal, kept, out, NONE)
            if parts is None:
                break
            if self._priced(parts.worth, FEW)[0]:
                continue
            added, over = self._priced(parts.worth, self.effort.sets)
            if parts.worth.least - most * over > best[0]:
                best = parts.worth.least - most * over, parts.worth, over
                self.least[goal.name] = max(self.least[goal.name], _whole(goal, best[0]))
            if not added or self.met(goal) or (not goal.per_cost and math.ceil(best[0]) >= parts.least - EASE):
                break
        return best[1], best[2]

    def _settled(self, goal: Goal, kept: Sequence[GoalLimit], worth: Duals, over: float, most: int) -> bool:
        """Choose among all the flasks that a better plan could have; True if they are no more than so many."""
        only = None if self.spent() else self._all(goal, kept, worth, over, most)
        if only is None:
            return False
        self._weigh(only)
        value, out = self.value(goal), self._may_stay_out(kept)
        cap = GoalLimit(goal, most_of(goal, value if goal.per_cost else value - 1))
        found = self.ledger.in_whole(goal, [*kept, cap], out, only, self.effort.nodes)
        proved = value if found.ended and found.chosen is None else min(value, found.least)
        self.least[goal.name] = max(self.least[goal.name], _whole(goal, proved))
        if not self.met(goal) and found.chosen is not None and self._lay(found.chosen, self.effort.steps[-1]):
            self._take(goal, found.chosen)
        return True

    def as_good(self, goal: Goal, kept: Sequence[GoalLimit]) -> list[int]:
        """Columns that a plan no worse in a goal than the best could have, the likeliest."""
        self.least.setdefault(goal.name, 0.0)
        worth, _ = self._bounded(goal, kept)
        return [] if worth is None else self._likely(goal, kept, worth)


def _whole(goal: Goal, least: float) -> float:
    return least if goal.per_cost or math.isinf(least) else float(math.ceil(least - 1e-4))
