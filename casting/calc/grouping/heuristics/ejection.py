"""Ejection: insert waxes that were left out, by freeing flasks or by ejecting waxes that are not first pieces."""

from __future__ import annotations

from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.heuristics.insertion import by_powder, downsize, insert_wax, replace_flask, with_keys
from casting.calc.grouping.solution import Flask, Flasks


def reinsert(evaluator: FlaskEvaluator, flasks: Flasks, left: list[str]) -> tuple[Flasks, list[str]]:
    """Return the flasks with waxes inserted that were left out, first pieces before others.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's rules, stock and kilns.
    flasks : tuple of Flask
        Flasks of a plan.
    left : list of str
        Waxes in none of them; each fits some size alone.

    Returns
    -------
    tuple of (tuple of Flask, list of str)
        The flasks, and the waxes still left out. A first piece is among these only if
        nothing else could be ejected for it.
    """
    waiting = sorted(left, key=lambda key: (evaluator.rules.items[key].wax.piece != 1, key))
    out: list[str] = []
    while waiting:
        key = waiting.pop(0)
        grown = insert_wax(evaluator, flasks, key, largest_first=False) or _relocated(evaluator, flasks, key)
        if grown is not None:
            flasks = grown
            continue
        if evaluator.rules.items[key].wax.piece == 1:
            exchanged = _ejected(evaluator, flasks, key)
            if exchanged is not None:
                flasks, evicted = exchanged
                waiting += evicted
                continue
        out.append(key)
    return _last_round(evaluator, flasks, out)


def _last_round(evaluator: FlaskEvaluator, flasks: Flasks, out: list[str]) -> tuple[Flasks, list[str]]:
    """Try each wax again until none can be inserted, as another insertion may have made room."""
    again = True
    while again:
        again = False
        for key in list(out):
            grown = insert_wax(evaluator, downsize(evaluator, flasks), key, largest_first=False)
            if grown is not None:
                flasks, again = grown, True
                out.remove(key)
    return flasks, out


def _relocated(evaluator: FlaskEvaluator, flasks: Flasks, key: str) -> Flasks | None:
    """The wax in a flask whose own waxes move to an unused one."""
    spare = evaluator.spare(flasks)
    for flask in sorted(flasks, key=lambda f: min(f.keys)):
        if flask.fixed or flask.size not in evaluator.rules.alone[key]:
            continue
        for size in by_powder(evaluator, evaluator.rules.alone[min(flask.keys)]):
            if spare[size] and size != flask.size and evaluator.fits(flask.keys, size):
                freed = replace_flask(
                    flasks, flask, with_keys(flask, flask.keys, size), Flask(flask.size, frozenset([key]))
                )
                if evaluator.kiln_takes(freed):
                    return freed
    return None


def _ejected(evaluator: FlaskEvaluator, flasks: Flasks, key: str) -> tuple[Flasks, list[str]] | None:
    """A first piece in place of one wax, or else a whole flask, without first pieces; also the waxes ejected."""
    return _one_for_one(evaluator, flasks, key) or _flask_for_one(evaluator, flasks, key)


def _one_for_one(evaluator: FlaskEvaluator, flasks: Flasks, key: str) -> tuple[Flasks, list[str]] | None:
    for flask in sorted(flasks, key=lambda f: min(f.keys)):
        if flask.fixed:
            continue
        for other in _ejectable(evaluator, flask):
            keys = flask.keys - {other} | {key}
            if evaluator.fits(keys, flask.size):
                changed = replace_flask(flasks, flask, with_keys(flask, keys))
                if evaluator.kiln_takes(changed):
                    return changed, [other]
    return None


def _flask_for_one(evaluator: FlaskEvaluator, flasks: Flasks, key: str) -> tuple[Flasks, list[str]] | None:
    for flask in sorted(flasks, key=lambda f: (len(f.keys), min(f.keys))):
        if flask.fixed or flask.label or len(_ejectable(evaluator, flask)) < len(flask.keys):
            continue
        grown = insert_wax(evaluator, replace_flask(flasks, flask), key, largest_first=False)
        if grown is not None:
            return grown, sorted(flask.keys)
    return None


def _ejectable(evaluator: FlaskEvaluator, flask: Flask) -> list[str]:
    """The flask's waxes that may be ejected: not held and not first pieces."""
    return [
        k for k in sorted(flask.keys) if evaluator.rules.items[k].wax.piece != 1 and k not in evaluator.rules.day.held
    ]
