"""What the day aims at as goals in their order, and how far the search for them goes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from casting.calc.geometry.occupancy import STEPS, Step
from casting.calc.grouping.colgen.master import Goal
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.values.enums import Aim
from casting.calc.values.tolerances import COUNT_EASE

MANY = 50
"""For so many waxes there is so much to lay out; for twice as many twice as much, for fewer no less."""

CENT = 0.01
"""Cost counts to this."""


@dataclass(frozen=True, slots=True)
class Effort:
    """How far a cover goes: sets at a level, columns listed, branches, rounds, work for a layout and for all."""

    sets: int
    """Sets of waxes carried on with at a level."""
    likely: int
    """Columns chosen among while a better plan is sought."""
    listed: int
    """Columns chosen among when all that a better plan could have are listed."""
    nodes: int
    """Branches of a programme in whole numbers."""
    groups: int
    """Groups of a few flasks that are shared out again."""
    rounds: int
    """How often what cannot be laid out is struck and the rest shared out again."""
    steps: tuple[Step, ...]
    """How full the flasks of a better plan may be: little, then more."""
    layouts: int
    """Work for all layouts of the day, those before the cover among it."""
    weighed: int
    """Columns in all that are chosen among, whole programme by whole programme, those before among them."""

    @classmethod
    def of(cls, effort: int, evaluator: FlaskEvaluator) -> Effort:
        """Return how far units of effort go from where a bench stands."""
        return cls(
            sets=max(2_000, 200 * effort),
            likely=max(300, 10 * effort),
            listed=max(300, 60 * effort),
            nodes=max(100, 4 * effort),
            groups=effort // 5,
            rounds=4 + effort // 25,
            steps=STEPS[: 3 + sum(effort >= rung for rung in (100, 400, 1600))],
            layouts=evaluator.spent + 15 * effort * max(1, len(evaluator.items) // MANY),
            weighed=evaluator.weighed + 1_000 + 600 * effort,
        )


def goals_of(evaluator: FlaskEvaluator, loose: Sequence[str]) -> list[Goal]:
    """Return what the day aims at, in its order.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's waxes and its aim.
    loose : sequence of str
        Waxes that are in no fixed flask.

    Returns
    -------
    list of Goal
        First pieces left out, waxes left out, then flasks and cost as the day orders them.
    """
    firsts = {key: 1.0 for key in loose if evaluator.items[key].wax.piece == 1}
    flasks, cost = Goal("flasks", 1.0, 0.0, {}), Goal("cost", 0.0, 1.0, {})
    last = [cost, flasks] if evaluator.day.rules.aim is Aim.LEAST_MATERIAL else [flasks, cost]
    return [Goal("firsts", 0.0, 0.0, firsts), Goal("left", 0.0, 0.0, dict.fromkeys(loose, 1.0)), *last]


def most_of(goal: Goal, value: float) -> float:
    """Return how far a goal may go in a plan that is no worse.

    Parameters
    ----------
    goal : Goal
        A goal.
    value : float
        How the plan stands by it [flasks, waxes, or the price's currency].

    Returns
    -------
    float
        Cost counts to 0.01, so a plan as dear may be that much dearer; counts are whole, and barely eased.
    """
    return value + (CENT if goal.per_cost else COUNT_EASE)
