"""Preassigned flasks: fixed ones as the plan before has them, and one for the waxes held under each label."""

from __future__ import annotations

from casting.calc.grouping.budget import SEEK_HARD
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.left_out import exclusion_reason
from casting.calc.grouping.solution import Flask, Flasks
from casting.calc.values.errors import Refused


def preassigned_flasks(evaluator: FlaskEvaluator) -> Flasks:
    """Return the fixed flasks, then one for each held label, each in a size that takes its waxes.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's stock, kilns and rules.

    Returns
    -------
    tuple of Flask
        Flasks of every plan; the search may change the size of the held ones and add waxes to them.

    Raises
    ------
    Refused
        If a fixed flask or a held wax cannot be kept as the day asks.
    """
    fixed = _fixed_flasks(evaluator)
    held = _held_waxes(evaluator, fixed)
    return fixed + _held_flasks(evaluator, fixed, held)


def _fixed_flasks(evaluator: FlaskEvaluator) -> Flasks:
    flasks: list[Flask] = []
    for number, label in enumerate(evaluator.rules.day.fixed):
        place = f"fixed[{number}]"
        flask = _fixed_flask(evaluator, label, place)
        taken = {key for other in flasks for key in other.keys}
        if flask.keys & taken:
            raise Refused(place, f"{min(flask.keys & taken)} is also in another fixed flask.")
        if evaluator.rules.sizes[flask.size].count <= sum(other.size == flask.size for other in flasks):
            raise Refused(
                place, f"flask {label} is a {evaluator.rules.sizes[flask.size].called}; the school has no more of them."
            )
        flasks.append(flask)
        if not evaluator.kiln_takes(flasks):
            raise Refused(place, f"no kiln place was found for flask {label} beside the other fixed flasks.")
    return tuple(flasks)


def _fixed_flask(evaluator: FlaskEvaluator, label: str, place: str) -> Flask:
    before = evaluator.rules.day.previous.get(label)
    if before is None:
        raise Refused(place, f"{label} is no flask of the plan before; name one of `previous`.")
    if before.size not in evaluator.rules.sizes:
        raise Refused(place, f"flask {label} is a {before.size}, which is no flask size of the day.")
    unknown = sorted(set(before.waxes) - set(evaluator.rules.items))
    if unknown or not before.waxes:
        names = ", ".join(unknown) or "no waxes"
        raise Refused(place, f"flask {label} held {names}, which the day does not have.")
    keys = frozenset(before.waxes)
    astray = sorted(key for key in keys if evaluator.rules.day.held.get(key, label) != label)
    if astray:
        raise Refused(
            place, f"{astray[0]} is in fixed flask {label} but held for {evaluator.rules.day.held[astray[0]]}."
        )
    size = evaluator.rules.sizes[before.size].called
    if not evaluator.rules.allows(keys, before.size):
        raise Refused(place, f"the waxes of flask {label} may not share a flask of {size} by the day's rules.")
    if evaluator.layout(keys, before.size, SEEK_HARD) is None:
        raise Refused(place, f"no layout was found for the waxes of flask {label} in a flask of {size}.")
    return Flask(before.size, keys, label, fixed=True)


def _held_waxes(evaluator: FlaskEvaluator, fixed: Flasks) -> dict[str, frozenset[str]]:
    inside = {key for flask in fixed for key in flask.keys}
    labels = {flask.label for flask in fixed}
    held: dict[str, frozenset[str]] = {}
    for key, label in sorted(evaluator.rules.day.held.items()):
        place = f"held.{key}"
        if key not in evaluator.rules.items:
            raise Refused(place, f"there is no wax {key}; take it out of `held`.")
        if key in inside:
            continue
        if label in labels:
            raise Refused(place, f"flask {label} is fixed as it was and {key} is not in it.")
        why = exclusion_reason(evaluator.rules, key)
        if why:
            raise Refused(place, f"{key} fits no flask even alone. {why.detail}")
        held[label] = held.get(label, frozenset()) | {key}
    return held


def _held_flasks(evaluator: FlaskEvaluator, fixed: Flasks, held: dict[str, frozenset[str]]) -> Flasks:
    """A size for each held label such that stock and kilns suffice for all of them; by backtracking."""
    choices = {}
    for label, keys in sorted(held.items()):
        sizes = [size for size in evaluator.rules.alone[min(keys)] if evaluator.fits(keys, size, SEEK_HARD)]
        if not sizes:
            raise Refused(f"held.{min(keys)}", f"the waxes held for {label} cannot share one flask.")
        choices[label] = sorted(sizes, key=lambda size: (evaluator.rules.powder_g[size], size))
    found = _choose(evaluator, fixed, held, sorted(choices.items(), key=lambda row: (len(row[1]), row[0])))
    if found is None:
        first = min(evaluator.rules.day.held)
        raise Refused(f"held.{first}", "stock and kilns do not suffice for all the held flasks together.")
    return tuple(sorted(found, key=lambda flask: flask.label))


def _choose(
    evaluator: FlaskEvaluator, flasks: Flasks, held: dict[str, frozenset[str]], rest: list[tuple[str, list[str]]]
) -> Flasks | None:
    if not rest:
        return tuple(flask for flask in flasks if not flask.fixed)
    label, sizes = rest[0]
    for size in sizes:
        opened = (*flasks, Flask(size, held[label], label))
        if evaluator.is_feasible(opened):
            found = _choose(evaluator, opened, held, rest[1:])
            if found is not None:
                return found
    return None
