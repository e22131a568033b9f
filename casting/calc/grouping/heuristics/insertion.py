"""Insertion: put a wax into a flask; then use cheaper sizes and close flasks whose waxes fit into others."""

from __future__ import annotations

import math
from collections.abc import Iterable

from casting.calc.grouping.budget import SEEK, Step
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.solution import Flask, Flasks


def replace_flask(flasks: Flasks, old: Flask, *new: Flask) -> Flasks:
    """Return the flasks with one replaced by others.

    Parameters
    ----------
    flasks : tuple of Flask
        Flasks of a plan.
    old : Flask
        The flask to take out.
    *new : Flask
        What replaces it.

    Returns
    -------
    tuple of Flask
        The others, then the new ones.
    """
    return (*(flask for flask in flasks if flask is not old), *new)


def with_keys(flask: Flask, keys: frozenset[str], size: str | None = None) -> Flask:
    """Return a flask with other waxes, of another size if one is named.

    Parameters
    ----------
    flask : Flask
        A flask that is not fixed.
    keys : frozenset of str
        Its new waxes.
    size : str, optional
        Its new size; the same if not given.

    Returns
    -------
    Flask
        The same label, the new waxes.
    """
    return Flask(size or flask.size, keys, flask.label)


def open_to(evaluator: FlaskEvaluator, flasks: Iterable[Flask], key: str) -> list[Flask]:
    """Return the flasks that a wax may join by family and section, the fullest first.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's rules.
    flasks : iterable of Flask
        Flasks of a plan.
    key : str
        The wax.

    Returns
    -------
    list of Flask
        Flasks that are not fixed; by fewest places left, then most metal.
    """
    family = evaluator.rules.items[key].family
    of_family = (
        flask for flask in flasks if not flask.fixed and evaluator.rules.items[min(flask.keys)].family == family
    )
    joined = [flask for flask in of_family if evaluator.rules.together({*flask.keys, key})]
    return sorted(
        joined,
        key=lambda flask: (
            evaluator.rules.sizes[flask.size].waxes_max - len(flask.keys),
            -sum(sorted(evaluator.rules.items[k].metal_g for k in flask.keys)),
            min(flask.keys),
        ),
    )


def insert_wax(evaluator: FlaskEvaluator, flasks: Flasks, key: str, largest_first: bool) -> Flasks | None:
    """Return the flasks with a wax inserted: into one of them, into a new one, or into one of another size.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's rules, stock and kilns.
    flasks : tuple of Flask
        Flasks of a plan.
    key : str
        A wax in none of them that fits some size alone.
    largest_first : bool
        Whether a new flask is the largest on the shelf; else it is the one of least powder.

    Returns
    -------
    tuple of Flask or None
        None if none of these is feasible.
    """
    grown = _joined(evaluator, flasks, key)
    if grown is not None:
        return grown
    spare = evaluator.spare(flasks)
    sizes = [size for size in by_powder(evaluator, evaluator.rules.alone[key]) if spare[size]]
    for size in reversed(sizes) if largest_first else sizes:
        opened = (*flasks, Flask(size, frozenset([key])))
        if evaluator.kiln_takes(opened):
            return opened
    return _resized(evaluator, flasks, key)


def _resized(evaluator: FlaskEvaluator, flasks: Flasks, key: str) -> Flasks | None:
    """The flasks with the wax in one of them, which changes its size."""
    spare = evaluator.spare(flasks)
    for flask in open_to(evaluator, flasks, key):
        keys = flask.keys | {key}
        for size in by_powder(evaluator, evaluator.rules.alone[key]):
            if spare[size] and size != flask.size and evaluator.fits(keys, size):
                grown = replace_flask(flasks, flask, with_keys(flask, keys, size))
                if evaluator.kiln_takes(grown):
                    return grown
    return None


def by_powder(evaluator: FlaskEvaluator, sizes: Iterable[str]) -> list[str]:
    """Return sizes sorted by their powder, least first.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's powder.
    sizes : iterable of str
        Size keys.

    Returns
    -------
    list of str
        The same keys, sorted.
    """
    return sorted(sizes, key=lambda size: (evaluator.rules.powder_g[size], size))


def downsize(evaluator: FlaskEvaluator, flasks: Flasks, step: Step | None = None) -> Flasks:
    """Return the flasks, each in the cheapest feasible size that the others leave on the shelf.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's rules, stock and kilns.
    flasks : tuple of Flask
        Flasks of a plan.
    step : Step, optional
        How full they may be, and the work for each layout; by default a first try.

    Returns
    -------
    tuple of Flask
        Flasks of the same waxes.
    """
    better = True
    while better:
        better = False
        for flask in sorted(flasks, key=lambda f: (-evaluator.rules.powder_g[f.size], min(f.keys))):
            smaller = None if flask.fixed else _cheaper(evaluator, flasks, flask, step or Step(math.inf, SEEK))
            if smaller is not None:
                flasks, better = replace_flask(flasks, flask, smaller), True
    return flasks


def _cheaper(evaluator: FlaskEvaluator, flasks: Flasks, flask: Flask, step: Step) -> Flask | None:
    spare, now = evaluator.spare(flasks), evaluator.rules.cost(flask.keys, flask.size)
    costs = sorted(
        (evaluator.rules.cost(flask.keys, size), size) for size in evaluator.rules.alone[min(flask.keys)] if spare[size]
    )
    for cost, size in costs:
        if cost > now - 1e-9:
            return None
        if evaluator.occupancy(flask.keys, size) <= step.full and evaluator.fits(flask.keys, size, step.work):
            smaller = with_keys(flask, flask.keys, size)
            if evaluator.kiln_takes(replace_flask(flasks, flask, smaller)):
                return smaller
    return None


def close_flasks(evaluator: FlaskEvaluator, flasks: Flasks) -> Flasks:
    """Return the flasks without those whose waxes all fit into the others, the emptiest first.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's rules, stock and kilns.
    flasks : tuple of Flask
        Flasks of a plan.

    Returns
    -------
    tuple of Flask
        Every wax still in a flask.
    """
    for flask in sorted(flasks, key=lambda f: (len(f.keys), min(f.keys))):
        if flask.fixed or flask.label:
            continue
        rest: Flasks | None = replace_flask(flasks, flask)
        for key in sorted(flask.keys, key=lambda k: (-evaluator.rules.items[k].area_mm2, k)):
            rest = rest and (_joined(evaluator, rest, key) or _resized(evaluator, rest, key))
        if rest:
            return close_flasks(evaluator, rest)
    return flasks


def _joined(evaluator: FlaskEvaluator, flasks: Flasks, key: str) -> Flasks | None:
    """The flasks with the wax in one of them, which keeps its size."""
    for flask in open_to(evaluator, flasks, key):
        keys = flask.keys | {key}
        if evaluator.fits(keys, flask.size):
            grown = replace_flask(flasks, flask, with_keys(flask, keys))
            if evaluator.kiln_takes(grown):
                return grown
    return None
