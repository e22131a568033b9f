"""Small problems for tests of column generation."""

import json

from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds
from casting.calc.grouping.bounds.proof import usable_sizes
from casting.calc.grouping.budget import Budget
from casting.calc.grouping.colgen.generation import ColumnGeneration
from casting.calc.grouping.colgen.pricing import pricing_problems
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.solution import Candidate, Flask
from casting.dayfile import read


def evaluator_of(day):
    return FlaskEvaluator(read(json.dumps(day)).day)


def budget_of(evaluator, effort=100):
    return Budget.of(effort, len(evaluator.rules.items), evaluator.spent, evaluator.weighed)


def bounds_of(evaluator):
    return CombinatorialBounds(evaluator.rules, usable_sizes(evaluator.rules, ()))


def one_each(evaluator):
    """A plan with a flask for each wax, the narrowest that takes it; stock aside."""
    return Candidate(
        tuple(Flask(evaluator.rules.alone[key][0], frozenset([key])) for key in sorted(evaluator.rules.items)),
        frozenset(),
    )


def columns_of(evaluator, windows="each", floor=-1e9, most=10**6):
    found = set()
    for _, problem in pricing_problems(bounds_of(evaluator), sorted(evaluator.rules.items), windows):
        sets = problem.price(dict.fromkeys(evaluator.rules.items, 0.0), 0.0, 0.0, floor, most, 10**6).sets
        found |= {(keys, problem.size) for _, keys in sets}
    return found


def generation_of(evaluator, plan=None, effort=100):
    """Column generation for all waxes of a day, by default from a flask for each."""
    plan = plan or one_each(evaluator)
    return ColumnGeneration(evaluator, bounds_of(evaluator), plan, evaluator.stock, budget_of(evaluator, effort), {})
