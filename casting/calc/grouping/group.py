"""Put the day's waxes into flasks: a plan at once, then better ones as more effort is allowed."""

from __future__ import annotations

from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds
from casting.calc.grouping.bounds.proof import prove, usable_sizes
from casting.calc.grouping.budget import RUNGS, SEEK_HARD, Budget
from casting.calc.grouping.colgen.decomposition import SubproblemCache, is_optimal, solve
from casting.calc.grouping.colgen.stability import minimise_moves
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.heuristics.construction import construct
from casting.calc.grouping.labels import assign_labels, moved_waxes, relabel
from casting.calc.grouping.left_out import exclusion_reason, shortage_reason
from casting.calc.grouping.objective import LowerBounds, sort_flasks
from casting.calc.grouping.preassigned import preassigned_flasks
from casting.calc.grouping.solution import Candidate, Flask, Flasks
from casting.calc.layout.tidy import MountedFlask, WaxIdentity, tidy
from casting.calc.values.day_input import DayInput
from casting.calc.values.day_plan import Group, Grouping, LeftOut, Place

__all__ = ["group", "relabel"]


def group(day: DayInput, effort: int, without: frozenset[str] = frozenset()) -> Grouping:
    """Return the day's waxes in flasks, with places, kiln places, reasons and proof.

    Parameters
    ----------
    day : DayInput
        The day.
    effort : int
        Units of work, at least 1; more never gives a worse plan.
    without : frozenset of str
        Flask sizes that count as not on the shelf.

    Returns
    -------
    Grouping
        The best plan found. Labels of flasks neither held nor of `previous` are provisional:
        see `relabel`.

    Raises
    ------
    Refused
        If a held wax or a fixed flask cannot be as the day asks.
    """
    evaluator = FlaskEvaluator(day, without)
    seeds = preassigned_flasks(evaluator)
    inside = {key for flask in seeds for key in flask.keys}
    outside = [key for key in evaluator.rules.items if key not in inside]
    out = {key: why for key in outside if (why := exclusion_reason(evaluator.rules, key))}
    loose = [key for key in outside if key not in out]
    best, least = _shared_out(evaluator, seeds, loose, effort)
    for key in sorted(best.left):
        out[key] = shortage_reason(evaluator, key, best.flasks)
    left_out = tuple(out[key] for key in sorted(out))
    if sorted([*(key for flask in best.flasks for key in flask.keys), *out]) != sorted(evaluator.rules.items):
        raise AssertionError("a wax is in no flask and not left out, or is so twice")
    return _written(evaluator, best.flasks, left_out, None if without else least, longer=effort >= RUNGS[0])


def _shared_out(
    evaluator: FlaskEvaluator, seeds: Flasks, loose: list[str], effort: int
) -> tuple[Candidate, LowerBounds | None]:
    """The best plan of some tries, then of sharing out all waxes at once, further with each rung."""
    plan, least = construct(evaluator, seeds, loose), None
    bounds = CombinatorialBounds(
        evaluator.rules, usable_sizes(evaluator.rules, tuple(flask for flask in seeds if flask.fixed))
    )
    cache = SubproblemCache(evaluator, bounds)
    rungs = [rung for rung in RUNGS if rung <= effort]
    for rung in rungs[1:] or rungs:
        if least and is_optimal(evaluator, plan, least):
            break
        plan, least = solve(cache, plan, _budget(evaluator, rung))
        plan = (
            minimise_moves(evaluator, bounds, plan, _budget(evaluator, rung // 4))
            if evaluator.rules.day.previous
            else plan
        )
    return plan, least


def _budget(evaluator: FlaskEvaluator, effort: int) -> Budget:
    """How far an effort goes from the work done so far."""
    return Budget.of(effort, len(evaluator.rules.items), evaluator.spent, evaluator.weighed)


def _written(
    evaluator: FlaskEvaluator, flasks: Flasks, left_out: tuple[LeftOut, ...], least: LowerBounds | None, *, longer: bool
) -> Grouping:
    flasks = sort_flasks(flasks)
    labels = assign_labels(flasks, evaluator.rules.day)
    kiln_places = evaluator.kiln_places(flasks)
    moved = {key: label for flask, label in zip(flasks, labels, strict=True) for key in flask.keys}
    if kiln_places is None:
        raise AssertionError("the flasks were accepted without places in the kilns")
    evened = _evened(evaluator, flasks, longer=longer)
    return Grouping(
        groups=tuple(Group(label, flask.size, evened[flask.keys]) for flask, label in zip(flasks, labels, strict=True)),
        left_out=left_out,
        kiln_places=dict(zip(labels, kiln_places, strict=True)),
        proof=prove(evaluator, flasks, left_out, least),
        moved=moved_waxes(moved, evaluator.rules.day),
    )


def _evened(evaluator: FlaskEvaluator, flasks: Flasks, *, longer: bool) -> dict[frozenset[str], dict[str, Place]]:
    """The flasks' layouts, by their waxes, as the teacher mounts by them. A tree's rings are even as found."""
    found = {flask.keys: _laid(evaluator, flask) for flask in flasks}
    cones = [flask for flask in flasks if not evaluator.rules.bases[flask.size].trunk]
    stood = []
    for flask in cones:
        items = [evaluator.rules.items[key] for key in sorted(flask.keys)]
        worn = tuple(WaxIdentity(item.footprint, item.wax.student, item.metal_g) for item in items)
        places = tuple(found[flask.keys][item.key] for item in items)
        stood.append(MountedFlask(worn, places, evaluator.rules.bases[flask.size]))
    for flask, places in zip(cones, tidy(stood, longer=longer), strict=True):
        found[flask.keys] = dict(zip(sorted(flask.keys), places, strict=True))
    return found


def _laid(evaluator: FlaskEvaluator, flask: Flask) -> dict[str, Place]:
    places = evaluator.layout(flask.keys, flask.size, SEEK_HARD)
    if places is None:
        raise AssertionError(f"a flask of {sorted(flask.keys)} was accepted without a layout")
    return dict(places)
