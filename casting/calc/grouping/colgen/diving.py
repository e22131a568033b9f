"""Better plans sought: waxes shared out among flasks that a layout is likely for, from roomy ones to full ones."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np

from casting.calc.grouping.budget import (
    BARRED,
    DIVE_ROUNDS,
    FEW,
    GROUP_STEPS,
    LP_ROUNDS,
    SEEK_HARD,
    WAXES_EASY,
    WAXES_MANY,
    WAXES_VERY_MANY,
    Step,
)
from casting.calc.grouping.colgen.generation import TIE, Pricing
from casting.calc.grouping.colgen.goals import CENT, goals_of, most_of
from casting.calc.grouping.colgen.master import Duals, Goal, GoalLimit, LpResult
from casting.calc.grouping.flask_rules import Family
from casting.calc.grouping.solution import Candidate, Flask, Flasks
from casting.calc.values.arrays import Floats
from casting.calc.values.tolerances import EASE

EVEN = 0.02
"""Of plans about as cheap, the one of least crowding: a full flask weighs about so much of the plan."""

CROWDS = 6
"""Of choices with a flask fewer, the one of least crowding to this power: one flask too full is one too many."""


class Seeking(Pricing):
    """Plans that are better by a goal and no worse in those before, each flask of them laid out."""

    def _steps(self) -> Sequence[Step]:
        """How full flasks may be, step by step; of many waxes not the fullest, of very many not the roomiest either."""
        if len(self.loose) <= WAXES_MANY:
            return self.effort.steps
        return self.effort.steps[:-1] if len(self.loose) <= WAXES_VERY_MANY else self.effort.steps[1:3]

    def _sought(self, goal: Goal, kept: Sequence[GoalLimit], step: Step) -> bool:
        """Better the plan by flasks no fuller than a step allows; True if it is."""
        wanted = self.value(goal) - (CENT / 2 if goal.per_cost else 0.5)
        cheap = replace(goal, per_cost=self._tie()) if goal.per_flask else goal
        parts = None if self.spent() else self._in_step(cheap, kept, step)
        if parts is None or parts.least > wanted:
            return False
        chosen = self._one_by_one(cheap, kept, parts, wanted, step)
        if chosen is None and len(self.loose) <= WAXES_MANY:
            chosen = self._at_once(goal, kept, parts, wanted, step)
        return chosen is not None and self._take(goal, chosen)

    def _tie(self) -> float:
        """What a unit of cost weighs beside a flask: together less than half of one in a plan as dear as the best."""
        return min(TIE, 0.2 / max(self.evaluator.cost_of(self.plan.flasks), 1.0))

    def _at_once(
        self, goal: Goal, kept: Sequence[GoalLimit], parts: LpResult, wanted: float, step: Step
    ) -> tuple[int, ...] | None:
        """Columns chosen in whole numbers: of flasks first so many as the programme in parts asks for."""
        likely = self._likely(goal, kept, parts.worth, step.full)
        if goal.per_cost:
            return self._chosen(goal, [*kept, GoalLimit(goal, wanted)], likely, step)
        only = self._most_earning({*likely, *self.ledger.weighed}, parts.worth)
        fewest = math.ceil(parts.least - EASE) + 0.5 if goal.per_flask else wanted
        aims = sorted({min(fewest, wanted), wanted})
        found = (self._chosen(goal, [*kept, GoalLimit(goal, most)], only, step) for most in aims)
        return next((chosen for chosen in found if chosen is not None), None)

    def _most_earning(self, numbers: Iterable[int], worth: Duals) -> list[int]:
        """So many of these columns as may be chosen among, those that earn most."""
        every = np.array(sorted(numbers))
        best = np.argsort(-self.ledger.earnings(worth, every.tolist()), kind="stable")
        return sorted(every[best[: 2 * self.effort.likely]].tolist())

    def _one_by_one(
        self, goal: Goal, kept: Sequence[GoalLimit], parts: LpResult, wanted: float, step: Step
    ) -> tuple[int, ...] | None:
        """Columns chosen as the programme in parts uses them: of many waxes a few at a time, twice as many, singly."""
        waxes = len(self.loose)
        few = max(1, waxes // WAXES_MANY)
        others = [2 * few, 1] if WAXES_MANY < waxes <= WAXES_VERY_MANY else []
        tries = [few, *others] if waxes > WAXES_EASY else []
        found = (self._dived(goal, kept, parts, wanted, step, most) for most in dict.fromkeys(tries))
        return next((chosen for chosen in found if chosen is not None), None)

    def _dived(
        self, goal: Goal, kept: Sequence[GoalLimit], parts: LpResult, wanted: float, step: Step, few: int
    ) -> tuple[int, ...] | None:
        """Columns used most, each laid out, the other waxes shared out in parts anew; None if it leads nowhere."""
        fixed, barred = set[int](), set[int]()
        while not self.spent():
            fresh = self._surest(parts, fixed, few)
            if not fresh:
                return tuple(sorted(fixed))
            laid = {number for number in fresh if self.strikes.lays(number, step)}
            found = self._after(goal, kept, step, fixed | laid, barred)
            if found is not None and found.least <= wanted:
                fixed, parts = fixed | laid, found
                continue
            barred |= laid
            back = self._after(goal, kept, step, fixed, barred)
            if not laid or len(barred) > BARRED or back is None or back.least > wanted:
                return None
            parts = back
        return None

    def _surest(self, parts: LpResult, fixed: set[int], most: int) -> list[int]:
        """Columns that the programme in parts uses most, apart: all that it uses whole, or a few."""
        used = sorted((-much, n) for n, much in zip(parts.used, parts.amounts, strict=True) if n not in fixed)
        whole = [n for much, n in used if much < EASE - 1]
        if whole:
            return whole
        few: list[int] = []
        inside: set[str] = set()
        for _, number in used:
            keys = self.ledger.columns[number].keys
            if len(few) < most and inside.isdisjoint(keys):
                few.append(number)
                inside |= keys
        return few

    def _after(
        self, goal: Goal, kept: Sequence[GoalLimit], step: Step, fixed: set[int], barred: set[int]
    ) -> LpResult | None:
        """The least in parts with some columns chosen and some barred, its worth asked a few times."""
        found = None
        for _ in range(DIVE_ROUNDS):
            struck = self.strikes.out(step)
            struck[sorted(barred)] = True
            found = self.ledger.in_parts(goal, kept, self._may_stay_out(kept), struck, fixed)
            if found is None or not self._priced(found.worth, FEW, step.full, TIE)[0]:
                break
        return found

    def _in_groups(self, goal: Goal) -> None:
        """Share the waxes of a few flasks out again, group by group, while that makes the plan cheaper."""
        tried = self.effort.groups + len(self._groups)
        while len(self._groups) < tried and not self.spent():
            group = next((one for one in self._candidates() if _keys(one) not in self._groups), None)
            if group is None:
                return
            self._groups.add(_keys(group))
            others = tuple(one for one in self.plan.flasks if one not in group)
            again = self._shared_again(goal, group, others)
            if self.evaluator.cost_of(again) < self.evaluator.cost_of(group) - CENT / 2:
                self.plan = Candidate(others + again, self.plan.left)

    def _candidates(self) -> list[Flasks]:
        """The flasks of each family of not too many waxes, then pairs of one family, in a set order."""
        families: dict[Family, list[Flask]] = {}
        for flask in sorted(self.plan.flasks, key=lambda one: sorted(one.keys)):
            families.setdefault(self.evaluator.rules.items[min(flask.keys)].family, []).append(flask)
        whole = [tuple(flasks) for _, flasks in sorted(families.items()) if len(_keys(flasks)) <= WAXES_EASY]
        return whole + [pair for _, flasks in sorted(families.items()) for pair in combinations(flasks, 2)]

    def _shared_again(self, goal: Goal, group: Flasks, others: Flasks) -> Flasks:
        """The waxes of a few flasks in no more and cheaper ones, if such were found."""
        sizes = Counter(flask.size for flask in others)
        spare = {size: many - sizes[size] for size, many in self.ledger.spare.items()}
        effort = replace(self.effort, steps=GROUP_STEPS, likely=FEW)
        own = Seeking(
            self.evaluator, self._bounds, Candidate(group, frozenset()), spare, effort, {}, self.fixed + others
        )
        before = [one for one in goals_of(self.evaluator, own.loose) if not one.per_cost]
        kept = [GoalLimit(one, most_of(one, own.value(one))) for one in before]
        for step in effort.steps:
            while own._sought(goal, kept, step):
                pass
        return own.plan.flasks

    def _take(self, goal: Goal, chosen: Sequence[int]) -> bool:
        """Take the plan of columns that are laid out; False if it is none or no better."""
        plan = self._plan_of(chosen)
        if plan is None or self.value(goal, plan) > self.value(goal) - EASE:
            return False
        self.plan = plan
        return True

    def _lay(self, chosen: Sequence[int], step: Step) -> bool:
        """Seek a layout of each of these columns; True if all have one."""
        laid = [self.strikes.lays(number, step) for number in chosen]
        return all(laid)

    def _in_step(self, goal: Goal, kept: Sequence[GoalLimit], step: Step) -> LpResult | None:
        """The least in parts if no flask is fuller than a step allows; None if then nothing keeps to the rows."""
        parts, out = None, self._may_stay_out(kept)
        for _ in range(LP_ROUNDS):
            parts = self.ledger.in_parts(goal, kept, out, self.strikes.out(step))
            if parts is None or not self._priced(parts.worth, FEW, step.full, TIE)[0]:
                break
        return parts

    def _chosen(self, goal: Goal, kept: Sequence[GoalLimit], only: Iterable[int], step: Step) -> tuple[int, ...] | None:
        """Columns to share the waxes out in, each laid out; None if none were found."""
        out = self._may_stay_out(kept)
        for _ in range(self.effort.rounds):
            if self.spent():
                return None
            struck = self.strikes.out(step)
            numbers = [number for number in only if not struck[number]]
            self._weigh(numbers)
            chosen = self.ledger.in_whole(
                goal, kept, out, numbers, self.effort.nodes, self._trouble(goal, numbers)
            ).chosen
            if chosen is None or self._lay(chosen, step):
                return chosen
        return None

    def _trouble(self, goal: Goal, numbers: Sequence[int]) -> Floats | None:
        """What is to be least: how full flasks are, or cost with a little of that; None for what is left out."""
        crowded: Floats = self.strikes.crowding[numbers] ** CROWDS
        if goal.per_cost:
            return self.ledger.prices(goal, numbers)[len(self.loose) :] + EVEN * self.value(goal) * crowded
        return crowded if goal.per_flask else None

    def _plan_of(self, chosen: Sequence[int]) -> Candidate | None:
        """The plan of columns that can be laid out, each wax in the first that has it."""
        held = self.evaluator.rules.day.held
        inside: set[str] = set()
        flasks: list[Flask] = []
        for number in chosen:
            column = self.ledger.columns[number]
            keys = column.keys - inside
            inside |= keys
            if keys and keys != column.keys and not self.evaluator.fits(keys, column.size, SEEK_HARD):
                return None
            label = next((held[key] for key in sorted(keys) if key in held), "")
            flasks += [Flask(column.size, keys, label)] if keys else []
        stands = self.evaluator.kiln_takes([*self.fixed, *flasks])
        return Candidate(tuple(flasks), frozenset(self.loose) - inside) if stands else None


def _keys(flasks: Iterable[Flask]) -> frozenset[str]:
    """The waxes of some flasks."""
    return frozenset[str]().union(*(flask.keys for flask in flasks))
