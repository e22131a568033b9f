"""Plain ways to group waxes, to measure plans against: first fit, best fit, one model of assignment.

All of them ask the same rules, stock, kilns and layout search as the planner; none goes back on a choice, but
that at the end each flask changes to the cheapest size that the others leave.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.solution import Flask, Flasks
from casting.calc.values.day_input import DayInput
from tests.bench.assignment import assigned


@dataclass(frozen=True, order=True)
class Plainly:
    """What a plan needs, in the order of the aim `fewest_pours`; cost to 0.01."""

    firsts_out: int
    left_out: int
    flasks: int
    cost: float
    powder_g: int


def first_fit(day: DayInput) -> Plainly:
    """Widest wax first, each into the first flask that takes it, else into the largest that is left."""
    evaluator = FlaskEvaluator(day)
    return figures(
        evaluator,
        cheapest_sizes(evaluator, filled(evaluator, (), by_area(evaluator, evaluator.rules.items), fullest=False)),
    )


def best_fit(day: DayInput) -> Plainly:
    """The same, but into the flask that it leaves least of: the fewest places free, then the least melt."""
    evaluator = FlaskEvaluator(day)
    return figures(
        evaluator,
        cheapest_sizes(evaluator, filled(evaluator, (), by_area(evaluator, evaluator.rules.items), fullest=True)),
    )


def assignment(day: DayInput, seconds: float) -> Plainly:
    """One model with bounds by area only; waxes it leaves out or cannot lay out go in by first fit."""
    evaluator = FlaskEvaluator(day)
    flasks: Flasks = ()
    for size, keys in assigned(evaluator, seconds):
        grown = (*flasks, Flask(size, keys))
        if evaluator.fits(keys, size) and evaluator.is_feasible(grown):
            flasks = grown
    over = set(evaluator.rules.items).difference(*(flask.keys for flask in flasks))
    return figures(
        evaluator, cheapest_sizes(evaluator, filled(evaluator, flasks, by_area(evaluator, over), fullest=False))
    )


def by_area(evaluator: FlaskEvaluator, keys: Iterable[str]) -> list[str]:
    """Waxes that some flask takes, widest first."""
    return sorted(
        (key for key in keys if evaluator.rules.alone[key]), key=lambda key: (-evaluator.rules.items[key].area_mm2, key)
    )


def filled(evaluator: FlaskEvaluator, flasks: Flasks, order: Iterable[str], fullest: bool) -> Flasks:
    """The flasks with these waxes in turn, as far as there is room."""
    for key in order:
        flasks = with_one_more(evaluator, flasks, key, fullest)
    return flasks


def with_one_more(evaluator: FlaskEvaluator, flasks: Flasks, key: str, fullest: bool) -> Flasks:
    """The flasks with one wax more; as they were if there is no way."""

    def spare(flask: Flask) -> tuple[float, ...]:
        metal_g = sum(sorted(evaluator.rules.items[other].metal_g for other in flask.keys))
        return (evaluator.rules.sizes[flask.size].waxes_max - len(flask.keys), -metal_g) if fullest else ()

    for flask in sorted(flasks, key=spare):
        keys = flask.keys | {key}
        if evaluator.fits(keys, flask.size):
            grown = tuple(Flask(flask.size, keys) if other is flask else other for other in flasks)
            if evaluator.kiln_takes(grown):
                return grown
    left = evaluator.spare(flasks)
    for size in sorted(evaluator.rules.alone[key], key=lambda size: (-evaluator.rules.powder_g[size], size)):
        grown = (*flasks, Flask(size, frozenset([key])))
        if left[size] and evaluator.kiln_takes(grown):
            return grown
    return flasks


def cheapest_sizes(evaluator: FlaskEvaluator, flasks: Flasks) -> Flasks:
    """Each flask in turn in the cheapest size that takes it and that the others leave."""
    for flask in flasks:
        others = tuple(other for other in flasks if other is not flask)
        for size in sorted(evaluator.rules.sizes, key=lambda size: (evaluator.rules.powder_g[size], size)):
            smaller = (*others, Flask(size, flask.keys))
            if not evaluator.fits(flask.keys, size) or not evaluator.is_feasible(smaller):
                continue
            if evaluator.rules.cost(flask.keys, size) < evaluator.rules.cost(flask.keys, flask.size) - 1e-9:
                flasks = smaller
                break
    return flasks


def figures(evaluator: FlaskEvaluator, flasks: Flasks) -> Plainly:
    """What these flasks and the waxes outside them come to."""
    out = set(evaluator.rules.items).difference(*(flask.keys for flask in flasks))
    firsts = sum(evaluator.rules.items[key].wax.piece == 1 for key in out)
    powder_g = sum(evaluator.rules.powder_g[flask.size] for flask in flasks)
    return Plainly(firsts, len(out), len(flasks), evaluator.total_cost(flasks), powder_g)
