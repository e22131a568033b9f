"""What no plan of the day can better: true lower bounds, and what a teacher is told of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds
from casting.calc.grouping.bounds.explanation import explain
from casting.calc.grouping.bounds.relaxation import CountRelaxation
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.flask_rules import FlaskRules, Item
from casting.calc.grouping.left_out import exclusion_reason
from casting.calc.grouping.objective import LowerBounds
from casting.calc.grouping.solution import Flasks
from casting.calc.kiln.loading import could_fire
from casting.calc.values.day_plan import LeftOut, Proof
from casting.calc.values.enums import Aim
from casting.calc.values.tolerances import EASE


def prove(
    evaluator: FlaskEvaluator, flasks: Flasks, left_out: Sequence[LeftOut], least: LowerBounds | None = None
) -> Proof:
    """Return lower bounds over all plans no worse, and what the plan meets.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's rules.
    flasks : tuple of Flask
        The plan's flasks.
    left_out : sequence of LeftOut
        The waxes in none of them.
    least : LowerBounds, optional
        What sharing out all waxes at once proved, if that was done.

    Returns
    -------
    Proof
        Bounds hold with the whole stock, whatever sizes were set aside for the hours.

    Notes
    -----
    If the plan may leave out more than must be, a better one may leave out other waxes, so without
    `least` only the fixed and held flasks bound the rest.
    """
    fixed = tuple(flask for flask in flasks if flask.fixed)
    bounds = CombinatorialBounds(evaluator.rules, usable_sizes(evaluator.rules, fixed))
    inside = {key for flask in fixed for key in flask.keys}
    loose = [item for key, item in evaluator.rules.items.items() if key not in inside]
    lost = [item for item in loose if not bounds.sizes(item) or exclusion_reason(evaluator.rules, item.key)]
    loose = [item for item in loose if item not in lost]
    if least:
        barred_ones = [item for item in lost if exclusion_reason(evaluator.rules, item.key)]
        left_least, firsts_least = len(barred_ones) + least.left, _firsts(barred_ones) + least.firsts
        number = len(fixed) + least.flasks
        cost = round(
            max(0.0, sum(evaluator.rules.cost(flask.keys, flask.size) for flask in fixed) + least.cost - EASE), 2
        )
    else:
        relaxation = CountRelaxation(bounds, loose, Counter(flask.size for flask in fixed))
        left_least, firsts_least = (
            len(lost) + relaxation.fewest_left_out(),
            _firsts(lost) + relaxation.fewest_first_pieces_out(),
        )
        number, cost = _in_turn(evaluator, relaxation, len(left_out) - len(lost), flasks)
    met = left_least == len(left_out) and firsts_least == _firsts(evaluator.rules.items[x.key] for x in left_out)
    if not met and not least:
        number, cost = len(fixed) + _named(evaluator, inside), evaluator.total_cost(fixed)
    flasks_proved = met and number == len(flasks)
    proved = flasks_proved and cost >= evaluator.total_cost(flasks) - 0.001
    why = explain(bounds, flasks, loose, met, number, least.families if least else {})
    return Proof(left_least, firsts_least, number, cost, flasks_proved, proved, why)


def _in_turn(evaluator: FlaskEvaluator, relaxation: CountRelaxation, beyond: int, flasks: Flasks) -> tuple[int, float]:
    """Fewest flasks and least cost, in the order of the aim."""
    fixed = [flask for flask in flasks if flask.fixed]
    fixed_cost = sum(evaluator.rules.cost(flask.keys, flask.size) for flask in fixed)
    others = None if evaluator.rules.day.rules.aim is Aim.LEAST_MATERIAL else len(flasks) - len(fixed)
    fewest, cost = relaxation.fewest_flasks(beyond), relaxation.least_cost(beyond, others)
    return len(fixed) + fewest, round(max(0.0, fixed_cost + cost - EASE), 2)


def _firsts(items: Iterable[Item]) -> int:
    return sum(item.wax.piece == 1 for item in items)


def _named(evaluator: FlaskEvaluator, inside: set[str]) -> int:
    return len({label for key, label in evaluator.rules.day.held.items() if key not in inside})


def usable_sizes(rules: FlaskRules, fixed: Flasks) -> frozenset[str]:
    """Return the sizes that can be used beside the fixed flasks.

    Parameters
    ----------
    rules : FlaskRules
        The day's rules.
    fixed : tuple of Flask
        Flasks that stay as they were.

    Returns
    -------
    frozenset of str
        Sizes with a flask left on the shelf that some kiln and some firing could take.
    """
    used = Counter(flask.size for flask in fixed)
    return frozenset(
        size.key for size in rules.day.flask_sizes if size.count > used[size.key] and could_fire(rules.day, size)
    )
