"""At the same flasks and cost, the plan that leaves most waxes in the flasks they were in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds
from casting.calc.grouping.budget import Budget
from casting.calc.grouping.colgen.bounding import Cover
from casting.calc.grouping.colgen.goals import goals_of, most_of
from casting.calc.grouping.colgen.master import GoalLimit
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.highs import columns_of, in_whole
from casting.calc.grouping.labels import assign_labels, moved_waxes
from casting.calc.grouping.objective import score
from casting.calc.grouping.solution import Candidate, Flask


@dataclass(frozen=True, slots=True)
class _Option:
    """A column under a label of the plan before, or under none, and how many of its waxes that keeps in place."""

    number: int
    label: str
    stays: int


def stayed(evaluator: FlaskEvaluator, bounds: CombinatorialBounds, plan: Candidate, effort: Budget) -> Candidate:
    """Return a plan as good in every goal in which no more waxes move, and fewer where that was found.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's rules, with the plan before.
    bounds : CombinatorialBounds
        The rules, and the flask sizes that some kiln and firing take.
    plan : Candidate
        A plan.
    effort : Budget
        How far to go.

    Returns
    -------
    Candidate
        A plan that is no worse by the day's aim.

    Notes
    -----
    A family at a time, in the sizes that the others leave. Among the columns that earn enough to be
    in a plan as good, those are chosen that keep most waxes under the labels they had, each label once.
    """
    for keys in [flask.keys for flask in plan.flasks if not flask.fixed]:
        family = evaluator.rules.items[min(keys)].family
        own = [f for f in plan.flasks if not f.fixed and evaluator.rules.items[min(f.keys)].family == family]
        others = tuple(f for f in plan.flasks if f not in own)
        if keys not in {f.keys for f in own} or not _moved(evaluator, plan) & {key for f in own for key in f.keys}:
            continue
        left = frozenset(key for key in plan.left if evaluator.rules.items[key].family == family)
        cover = Cover(evaluator, bounds, Candidate(tuple(own), left), evaluator.spare(others), effort, {}, others)
        flasks = _of_family(evaluator, cover)
        if flasks is not None:
            inside = {key for flask in flasks for key in flask.keys}
            stays_out = (plan.left - left) | (frozenset(cover.loose) - inside)
            plan = min([plan, Candidate(others + flasks, stays_out)], key=lambda one: score(evaluator, one))
    return plan


def _moved(evaluator: FlaskEvaluator, plan: Candidate) -> set[str]:
    labels = assign_labels(plan.flasks, evaluator.rules.day)
    by_wax = {key: label for flask, label in zip(plan.flasks, labels, strict=True) for key in flask.keys}
    return set(moved_waxes(by_wax, evaluator.rules.day))


def _of_family(evaluator: FlaskEvaluator, cover: Cover) -> tuple[Flask, ...] | None:
    """The flasks of a family that keep most waxes in place; None if none were found that can be laid out."""
    goals = goals_of(evaluator, cover.loose)
    cost = next(goal for goal in goals if goal.per_cost)
    kept = [GoalLimit(goal, most_of(goal, cover.value(goal))) for goal in goals]
    likely = cover.as_good(cost, [limit for limit in kept if not limit.goal.per_cost])
    for _ in range(cover.effort.rounds):
        if cover.spent():
            break
        struck = cover.strikes.out(cover.effort.steps[-1])
        options = _options(evaluator, cover, [n for n in likely if not struck[n]])
        chosen = _chosen(cover, options, kept)
        if chosen is None:
            return None
        amiss = [option for option in chosen if not cover.strikes.lays(option.number, cover.effort.steps[-1])]
        if not amiss:
            flasks = tuple(_flask(evaluator, cover, option) for option in chosen)
            return flasks if evaluator.is_feasible(cover.fixed + flasks) else None
    return None


def _flask(evaluator: FlaskEvaluator, cover: Cover, option: _Option) -> Flask:
    column, held = cover.ledger.columns[option.number], evaluator.rules.day.held
    return Flask(column.size, column.keys, next((held[key] for key in sorted(column.keys) if key in held), ""))


def _options(evaluator: FlaskEvaluator, cover: Cover, numbers: Sequence[int]) -> list[_Option]:
    before: Mapping[str, frozenset[str]] = {
        label: frozenset(flask.waxes) for label, flask in sorted(evaluator.rules.day.previous.items())
    }
    taken = {flask.label for flask in cover.fixed if flask.label} | set(evaluator.rules.day.held.values())
    options = []
    for number in numbers:
        keys = cover.ledger.columns[number].keys
        held = {evaluator.rules.day.held[key] for key in keys if key in evaluator.rules.day.held}
        labels = held or {label for label, waxes in before.items() if waxes & keys and label not in taken}
        options += [_Option(number, label, len(before.get(label, frozenset()) & keys)) for label in sorted(labels)]
        options += [] if held else [_Option(number, "", 0)]
    return options


def _chosen(cover: Cover, options: Sequence[_Option], kept: Sequence[GoalLimit]) -> list[_Option] | None:
    """Options that share the waxes out as well as the plan does and keep most of them in place."""
    if not options:
        return None
    ledger, many = cover.ledger, len(options)
    columns = [ledger.columns[option.number] for option in options]
    waxes = {key: row for row, key in enumerate(cover.loose)}
    names = [*ledger.sizes, *sorted({option.label for option in options} - {""})]
    rows = np.zeros((len(names) + len(kept), many + len(waxes)))
    whole = np.zeros((len(waxes), many + len(waxes)))
    for place, (option, column) in enumerate(zip(options, columns, strict=True)):
        whole[[waxes[key] for key in column.keys], place] = 1.0
        rows[names.index(column.size), place] = 1.0
        if option.label:
            rows[names.index(option.label), place] = 1.0
    whole[:, many:] = np.eye(len(waxes))
    for nth, limit in enumerate(kept):
        asks = ledger.prices(limit.goal, [option.number for option in options])
        rows[len(names) + nth] = np.roll(asks, many)
    most = [float(ledger.spare.get(name, 1)) for name in names] + [limit.most for limit in kept]
    held = cover.evaluator.rules.day.held
    found = in_whole(
        np.array([-float(option.stays) for option in options] + [0.0] * len(waxes)),
        columns_of(np.concatenate([whole, rows])),
        (np.append(np.ones(len(waxes)), np.full(len(rows), -np.inf)), np.append(np.ones(len(waxes)), most)),
        np.array([1.0] * many + [float(key not in held) for key in cover.loose]),
        cover.effort.nodes,
    )
    chosen = None if found.amounts is None else np.flatnonzero(found.amounts[:many] > 0.5)
    return None if chosen is None else [options[int(place)] for place in chosen]
