"""Proof: lower bounds that hold for every plan of the day, and which of them a plan meets."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace

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
from casting.calc.values.sentence import Sentence, say, together
from casting.calc.values.tolerances import CENT, EASE


def prove(
    evaluator: FlaskEvaluator, flasks: Flasks, left_out: Sequence[LeftOut], proved: LowerBounds | None = None
) -> Proof:
    """Return lower bounds on every plan that is no worse, and which of them the plan meets.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's rules and layouts.
    flasks : tuple of Flask
        The plan's flasks.
    left_out : sequence of LeftOut
        The waxes in none of them.
    proved : LowerBounds, optional
        What column generation proved of the waxes in no fixed flask, if it ran.

    Returns
    -------
    Proof
        Bounds hold with the whole stock, whatever sizes were set aside for the hours.

    Notes
    -----
    If the plan may leave out more waxes than it must, a better one may leave out others. Without
    `proved`, only the fixed and held flasks then bound the number of flasks and the cost.
    """
    fixed = tuple(flask for flask in flasks if flask.fixed)
    inside = {key for flask in fixed for key in flask.keys}
    loose = [item for key, item in evaluator.rules.items.items() if key not in inside]
    bounds = CombinatorialBounds(evaluator.rules, usable_sizes(evaluator.rules, fixed))
    fit = [item for item in loose if bounds.sizes(item) and not exclusion_reason(evaluator.rules, item.key)]
    if proved:
        lower = _of_whole_day(evaluator, fixed, loose, proved)
    else:
        lower = _relaxed(evaluator, bounds, flasks, loose, fit, len(left_out))
    met = (lower.left, lower.firsts) == (len(left_out), _firsts(evaluator.rules.items[out.key] for out in left_out))
    if not met and not proved:
        held = len({label for key, label in evaluator.rules.day.held.items() if key not in inside})
        lower = replace(lower, flasks=len(fixed) + held, cost=evaluator.total_cost(fixed))
    flasks_proved = met and lower.flasks == len(flasks)
    cost_proved = lower.cost >= evaluator.total_cost(flasks) - CENT / 2
    why = explain(bounds, flasks, fit, met, lower.flasks, lower.families)
    placed = tuple(sorted(flask.label for flask in evaluator.rules.day.placed))
    return Proof(
        *(lower.left, lower.firsts, lower.flasks, lower.cost),
        flasks_proved,
        flasks_proved and cost_proved,
        together([_as_placed(placed), why]) if placed else why,
        placed,
    )


def _as_placed(labels: Sequence[str]) -> Sentence:
    """What is taken for granted, as a sentence before the others."""
    words = "Flask {flasks} as placed by hand." if len(labels) == 1 else "Flasks {flasks} as placed by hand."
    return say(words, flasks=labels)


def _of_whole_day(evaluator: FlaskEvaluator, fixed: Flasks, loose: Sequence[Item], proved: LowerBounds) -> LowerBounds:
    """Bounds on the loose waxes, with the fixed flasks and the waxes that no flask takes added."""
    excluded = [item for item in loose if exclusion_reason(evaluator.rules, item.key)]
    return LowerBounds(
        firsts=_firsts(excluded) + proved.firsts,
        left=len(excluded) + proved.left,
        flasks=len(fixed) + proved.flasks,
        cost=_eased(_fixed_cost(evaluator, fixed) + proved.cost),
        families=proved.families,
    )


def _relaxed(
    evaluator: FlaskEvaluator,
    bounds: CombinatorialBounds,
    flasks: Flasks,
    loose: Sequence[Item],
    fit: Sequence[Item],
    left_out: int,
) -> LowerBounds:
    """Bounds by the relaxation over counts, goal by goal in the order of the day's aim."""
    fixed = tuple(flask for flask in flasks if flask.fixed)
    if not fit:
        cost = _eased(_fixed_cost(evaluator, fixed))
        return LowerBounds(firsts=_firsts(loose), left=len(loose), flasks=len(fixed), cost=cost)
    relaxation = CountRelaxation(bounds, fit, Counter(flask.size for flask in fixed))
    unfit = len(loose) - len(fit)
    least_material = evaluator.rules.day.rules.aim is Aim.LEAST_MATERIAL
    most_flasks = None if least_material else len(flasks) - len(fixed)
    cost = relaxation.least_cost(left_out - unfit, most_flasks)
    return LowerBounds(
        firsts=_firsts(loose) - _firsts(fit) + relaxation.fewest_first_pieces_out(),
        left=unfit + relaxation.fewest_left_out(),
        flasks=len(fixed) + relaxation.fewest_flasks(left_out - unfit),
        cost=_eased(_fixed_cost(evaluator, fixed) + cost),
    )


def _fixed_cost(evaluator: FlaskEvaluator, fixed: Flasks) -> float:
    return sum(evaluator.rules.cost(flask.keys, flask.size) for flask in fixed)


def _eased(cost: float) -> float:
    """A bound on cost to 0.01, low enough that rounding in a solver cannot make it too high."""
    return round(max(0.0, cost - EASE), 2)


def _firsts(items: Iterable[Item]) -> int:
    return sum(item.wax.piece == 1 for item in items)


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
