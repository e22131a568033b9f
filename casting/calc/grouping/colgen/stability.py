"""Stability: at the same flasks and cost, the plan that leaves most waxes in the flasks they were in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds
from casting.calc.grouping.budget import Budget
from casting.calc.grouping.colgen.bounding import equally_good_columns
from casting.calc.grouping.colgen.generation import ColumnGeneration
from casting.calc.grouping.colgen.goals import GoalLimit, goals_of, limit_of
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.highs import columns_of, solve_mip
from casting.calc.grouping.labels import assign_labels, moved_waxes
from casting.calc.grouping.objective import score
from casting.calc.grouping.solution import Candidate, Flask
from casting.calc.values.arrays import Floats


@dataclass(frozen=True, slots=True)
class _Option:
    """A column under a label of the plan before, or under none, and how many of its waxes that keeps in place."""

    number: int
    label: str
    stays: int


def minimise_moves(
    evaluator: FlaskEvaluator, bounds: CombinatorialBounds, plan: Candidate, budget: Budget
) -> Candidate:
    """Return a plan as good in every goal in which no more waxes move, and fewer where one was found.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's rules, with the plan before.
    bounds : CombinatorialBounds
        The rules, and the flask sizes that some kiln and firing take.
    plan : Candidate
        A plan.
    budget : Budget
        How far to go.

    Returns
    -------
    Candidate
        A plan that is no worse by the day's aim.

    Notes
    -----
    A family at a time, in the sizes that the others leave. Among the columns that a plan as good could
    have, a MIP chooses those that keep most waxes under the labels they had, each label once.
    """
    for keys in [flask.keys for flask in plan.flasks if not flask.fixed]:
        family = evaluator.rules.items[min(keys)].family
        own = [f for f in plan.flasks if not f.fixed and evaluator.rules.items[min(f.keys)].family == family]
        others = tuple(f for f in plan.flasks if f not in own)
        if keys not in {f.keys for f in own} or not _moved(evaluator, plan) & {key for f in own for key in f.keys}:
            continue
        left = frozenset(key for key in plan.left if evaluator.rules.items[key].family == family)
        spare = evaluator.spare(others)
        part = ColumnGeneration(evaluator, bounds, Candidate(tuple(own), left), spare, budget, {}, others)
        flasks = _of_family(part)
        if flasks is not None:
            inside = {key for flask in flasks for key in flask.keys}
            stays_out = (plan.left - left) | (frozenset(part.loose) - inside)
            plan = min([plan, Candidate(others + flasks, stays_out)], key=lambda one: score(evaluator, one))
    return plan


def _moved(evaluator: FlaskEvaluator, plan: Candidate) -> set[str]:
    labels = assign_labels(plan.flasks, evaluator.rules.day)
    by_wax = {key: label for flask, label in zip(plan.flasks, labels, strict=True) for key in flask.keys}
    return set(moved_waxes(by_wax, evaluator.rules.day))


def _of_family(part: ColumnGeneration) -> tuple[Flask, ...] | None:
    """The flasks of a family that keep most waxes in place; None if none were found that have layouts."""
    goals = goals_of(part.evaluator, part.loose)
    cost = next(goal for goal in goals if goal.per_cost)
    limits = [limit_of(goal, part.value(goal)) for goal in goals]
    likely = equally_good_columns(part, cost, [limit for limit in limits if not limit.goal.per_cost])
    step = part.budget.steps[-1]
    for _ in range(part.budget.rounds):
        if part.is_spent():
            break
        excluded = part.no_goods.excluded(step)
        chosen = _choose(part, _options(part, [n for n in likely if not excluded[n]]), limits)
        if chosen is None:
            return None
        if part.find_layouts([option.number for option in chosen], step):
            flasks = tuple(_flask(part, option) for option in chosen)
            return flasks if part.evaluator.is_feasible(part.fixed + flasks) else None
    return None


def _flask(part: ColumnGeneration, option: _Option) -> Flask:
    column, held = part.master.columns[option.number], part.evaluator.rules.day.held
    return Flask(column.size, column.keys, next((held[key] for key in sorted(column.keys) if key in held), ""))


def _options(part: ColumnGeneration, numbers: Sequence[int]) -> list[_Option]:
    """Each column under every label that it may have."""
    day = part.evaluator.rules.day
    before = {label: frozenset(flask.waxes) for label, flask in sorted(day.previous.items())}
    taken = {flask.label for flask in part.fixed if flask.label} | set(day.held.values())
    options = []
    for number in numbers:
        keys = part.master.columns[number].keys
        held = {day.held[key] for key in keys if key in day.held}
        labels = held or {label for label, waxes in before.items() if waxes & keys and label not in taken}
        options += [_Option(number, label, len(before.get(label, frozenset()) & keys)) for label in sorted(labels)]
        options += [] if held else [_Option(number, "", 0)]
    return options


def _choose(part: ColumnGeneration, options: Sequence[_Option], limits: Sequence[GoalLimit]) -> list[_Option] | None:
    """Options that hold every wax once, within the limits, and keep most waxes in place, by a MIP."""
    if not options:
        return None
    waxes, names, held = part.loose, _names(part, options), part.evaluator.rules.day.held
    most = [float(part.master.spare.get(name, 1)) for name in names] + [limit.upper_bound for limit in limits]
    found = solve_mip(
        np.array([-float(option.stays) for option in options] + [0.0] * len(waxes)),
        columns_of(np.concatenate([_wax_rows(part, options), _limit_rows(part, options, names, limits)])),
        (np.append(np.ones(len(waxes)), np.full(len(most), -np.inf)), np.append(np.ones(len(waxes)), most)),
        np.array([1.0] * len(options) + [float(key not in held) for key in waxes]),
        part.budget.nodes,
    )
    chosen = None if found.amounts is None else np.flatnonzero(found.amounts[: len(options)] > 0.5)
    return None if chosen is None else [options[int(place)] for place in chosen]


def _names(part: ColumnGeneration, options: Sequence[_Option]) -> list[str]:
    """The sizes, then the labels: what there is only so much of."""
    return [*part.master.sizes, *sorted({option.label for option in options} - {""})]


def _wax_rows(part: ColumnGeneration, options: Sequence[_Option]) -> Floats:
    """A row for each wax: the options that hold it, then a column for it left out."""
    row_of = {key: row for row, key in enumerate(part.loose)}
    rows = np.zeros((len(row_of), len(options)))
    for place, option in enumerate(options):
        rows[[row_of[key] for key in part.master.columns[option.number].keys], place] = 1.0
    return np.concatenate([rows, np.eye(len(row_of))], axis=1)


def _limit_rows(
    part: ColumnGeneration, options: Sequence[_Option], names: Sequence[str], limits: Sequence[GoalLimit]
) -> Floats:
    """A row for each size and label, then for each limited goal, over the options and the waxes left out."""
    rows = np.zeros((len(names) + len(limits), len(options) + len(part.loose)))
    for place, option in enumerate(options):
        rows[names.index(part.master.columns[option.number].size), place] = 1.0
        if option.label:
            rows[names.index(option.label), place] = 1.0
    numbers = [option.number for option in options]
    for nth, limit in enumerate(limits, start=len(names)):
        weights = part.master.costs(limit.goal, numbers)
        rows[nth] = np.concatenate([weights[len(part.loose) :], weights[: len(part.loose)]])
    return rows
