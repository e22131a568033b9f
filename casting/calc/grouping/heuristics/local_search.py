"""Local search: relocate a wax, or swap two, between flasks of a family while that lowers the cost."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations

from casting.calc.grouping.budget import SAVINGS
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.heuristics.insertion import by_powder, replace_flask, with_keys
from casting.calc.grouping.solution import Flask, Flasks
from casting.calc.values.tolerances import CENT


def improve(evaluator: FlaskEvaluator, flasks: Flasks) -> Flasks:
    """Return the flasks after relocations and swaps of single waxes that lower the cost.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's rules, stock and kilns.
    flasks : tuple of Flask
        Flasks of a plan.

    Returns
    -------
    tuple of Flask
        As many flasks, at no more cost.
    """
    for _ in range(SAVINGS):
        better = _one_move(evaluator, flasks)
        if better is None:
            break
        flasks = better
    return flasks


def _one_move(evaluator: FlaskEvaluator, flasks: Flasks) -> Flasks | None:
    ordered = sorted((f for f in flasks if not f.fixed), key=lambda f: min(f.keys))
    for one, other in permutations(ordered, 2):
        if evaluator.rules.items[min(one.keys)].family != evaluator.rules.items[min(other.keys)].family:
            continue
        now = evaluator.rules.cost(one.keys, one.size) + evaluator.rules.cost(other.keys, other.size)
        for mine, theirs in _neighbours(evaluator, one, other):
            if not (evaluator.rules.together(mine) and evaluator.rules.together(theirs)):
                continue
            pair = _cheapest(evaluator, flasks, (one, mine), (other, theirs), now - CENT / 2)
            if pair is not None:
                return replace_flask(replace_flask(flasks, one), other, *pair)
    return None


def _neighbours(evaluator: FlaskEvaluator, one: Flask, other: Flask) -> Iterator[tuple[frozenset[str], frozenset[str]]]:
    """The waxes of two flasks after each relocation or swap; held waxes stay."""
    mine = [key for key in sorted(one.keys) if key not in evaluator.rules.day.held]
    theirs = [key for key in sorted(other.keys) if key not in evaluator.rules.day.held]
    for key in mine:
        if len(one.keys) > 1:
            yield one.keys - {key}, other.keys | {key}
        if min(one.keys) < min(other.keys):
            for back in theirs:
                yield one.keys - {key} | {back}, other.keys - {back} | {key}


def _cheapest(
    evaluator: FlaskEvaluator,
    flasks: Flasks,
    one: tuple[Flask, frozenset[str]],
    other: tuple[Flask, frozenset[str]],
    below: float,
) -> tuple[Flask, Flask] | None:
    """The cheapest two flasks for these waxes that cost less than `below`, in their own sizes or unused ones."""
    spare = evaluator.spare(flasks)
    choices = []
    for flask, keys in (one, other):
        sizes = [s for s in by_powder(evaluator, evaluator.rules.alone[min(keys)]) if s == flask.size or spare[s]]
        choices.append([(evaluator.rules.cost(keys, s), s) for s in sizes if evaluator.rules.allows(keys, s)])
    pairs = sorted((a + b, s, t) for a, s in choices[0] for b, t in choices[1] if a + b < below)
    for _, size, other_size in pairs[:3]:
        changed = with_keys(one[0], one[1], size), with_keys(other[0], other[1], other_size)
        if evaluator.fits(one[1], size) and evaluator.fits(other[1], other_size):
            after = replace_flask(replace_flask(flasks, one[0]), other[0], *changed)
            if evaluator.is_feasible(after):
                return changed
    return None
