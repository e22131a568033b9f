"""Construction heuristic: fill flasks one wax at a time; search for likely layouts only at the end."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace

from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds
from casting.calc.grouping.budget import FULL, LOOSER, SEEK_HARD, SEEK_SURE, TRUST, TRUSTING
from casting.calc.grouping.evaluator import FlaskEvaluator, SearchMode
from casting.calc.grouping.flask_rules import Family, Item
from casting.calc.grouping.heuristics.ejection import reinsert
from casting.calc.grouping.heuristics.insertion import close_flasks, downsize, insert_wax
from casting.calc.grouping.heuristics.local_search import improve
from casting.calc.grouping.objective import score
from casting.calc.grouping.solution import Candidate, Flask, Flasks


@dataclass(frozen=True, slots=True)
class FillOrder:
    """The flasks to start from, and the other waxes in the order in which they are inserted."""

    flasks: Flasks
    order: list[str]


def construct(evaluator: FlaskEvaluator, seeds: Flasks, loose: list[str]) -> Candidate:
    """Return a plan found by filling flasks; if it leaves waxes out, the better of two such plans.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's rules, stock and kilns.
    seeds : tuple of Flask
        Flasks that are held or fixed.
    loose : list of str
        Waxes in none of them; each fits some flask alone.

    Returns
    -------
    Candidate
        Flasks with layouts and kiln places, and the waxes left out.
    """
    quick = evaluator.in_mode(SearchMode(quick=True))
    first = _constructed(quick, _first_order(quick, seeds, loose))
    found = [_improved(quick, first)]
    if first.left:
        fuller = quick.in_mode(replace(quick.mode, full=FULL + LOOSER))
        second = _constructed(fuller, _second_order(fuller, seeds, loose))
        crossed = _crossed(fuller, first, second)
        better = min([first, second, crossed], key=lambda plan: score(quick, plan))
        if better is not first:
            found.append(_improved(quick, better))
    return min(found, key=lambda plan: score(quick, plan))


def _constructed(evaluator: FlaskEvaluator, fill_order: FillOrder) -> Candidate:
    """A plan filled with layouts and kiln places taken for granted, which are then searched for.

    The waxes of a flask without a layout are inserted again; the other flasks stay. After some
    rounds in which flasks fail, the plan is filled with nothing taken for granted.
    """
    trusting = evaluator.in_mode(replace(evaluator.mode, trusted=TRUST, kilns_trusted=True))
    plan = _filled(trusting, fill_order)
    for _ in range(TRUSTING):
        evaluator.search_layouts(plan.flasks)
        laid = tuple(flask for flask in plan.flasks if evaluator.layout(flask.keys, flask.size, SEEK_SURE) is not None)
        takes = evaluator.kiln_takes(plan.flasks)
        if takes and len(laid) == len(plan.flasks):
            return plan
        trusting = evaluator.in_mode(replace(trusting.mode, kilns_trusted=takes))
        plan = _filled(trusting, _put_back(trusting, fill_order, laid) if takes else fill_order)
    return _filled(evaluator, fill_order)


def _put_back(evaluator: FlaskEvaluator, fill_order: FillOrder, laid: Flasks) -> FillOrder:
    """Keep the flasks that have layouts and those of the start that share no wax with them; insert the rest again."""
    inside = {key for flask in laid for key in flask.keys}
    begun = tuple(flask for flask in fill_order.flasks if not flask.keys & inside)
    if not evaluator.is_feasible(laid + begun):
        return fill_order
    inside.update(key for flask in begun for key in flask.keys)
    others = [*sorted(key for flask in fill_order.flasks for key in flask.keys), *fill_order.order]
    return FillOrder(laid + begun, [key for key in others if key not in inside])


def _filled(evaluator: FlaskEvaluator, fill_order: FillOrder) -> Candidate:
    flasks, left = fill_order.flasks, []
    for key in fill_order.order:
        grown = insert_wax(evaluator, flasks, key, largest_first=True)
        if grown is None:
            left.append(key)
        else:
            flasks = grown
    flasks = downsize(evaluator, close_flasks(evaluator, flasks))
    if left:
        flasks, left = reinsert(evaluator, flasks, left)
        flasks = downsize(evaluator, flasks)
    return Candidate(flasks, frozenset(left))


def _improved(evaluator: FlaskEvaluator, plan: Candidate) -> Candidate:
    """The plan after a local search among flasks that need no long search for a layout.

    A plan that may have too many flasks is left as it is: column generation takes it apart anyway.
    """
    if _may_have_fewer(evaluator, plan):
        return plan
    roomy = evaluator.in_mode(replace(evaluator.mode, full=FULL - LOOSER))
    return Candidate(improve(roomy, plan.flasks), plan.left)


def _first_order(evaluator: FlaskEvaluator, seeds: Flasks, loose: list[str]) -> FillOrder:
    """From the plan before, if there is one; else first pieces before others, the heaviest first."""
    if evaluator.rules.day.previous:
        return _from_before(evaluator, seeds, loose)
    return FillOrder(seeds, _order(evaluator, loose, _metal_g, firsts=True))


def _second_order(evaluator: FlaskEvaluator, seeds: Flasks, loose: list[str]) -> FillOrder:
    """The largest first; first pieces before others if the first order came from the plan before."""
    return FillOrder(seeds, _order(evaluator, loose, _area_mm2, firsts=bool(evaluator.rules.day.previous)))


def _from_before(evaluator: FlaskEvaluator, seeds: Flasks, loose: list[str]) -> FillOrder:
    """The flasks of the plan before that are still feasible; the other waxes the largest first."""
    flasks, waiting = seeds, set(loose)
    for _, before in sorted(evaluator.rules.day.previous.items()):
        keys = frozenset(before.waxes) & waiting
        if not keys or before.size not in evaluator.rules.sizes or not evaluator.fits(keys, before.size, SEEK_HARD):
            continue
        grown = (*flasks, Flask(before.size, keys))
        if evaluator.is_feasible(grown):
            flasks, waiting = grown, waiting - keys
    return FillOrder(flasks, _order(evaluator, sorted(waiting), _area_mm2, firsts=True))


def _area_mm2(item: Item) -> float:
    return item.area_mm2


def _metal_g(item: Item) -> float:
    return item.metal_g


def _order(evaluator: FlaskEvaluator, loose: list[str], measure: Callable[[Item], float], *, firsts: bool) -> list[str]:
    """Waxes by falling measure; with `firsts`, first pieces before others, then waxes that few flasks take."""
    return sorted(
        loose,
        key=lambda key: (
            firsts and evaluator.rules.items[key].wax.piece != 1,
            sum(evaluator.stock[size] for size in evaluator.rules.alone[key]) if firsts else 0,
            -measure(evaluator.rules.items[key]),
            key,
        ),
    )


def _may_have_fewer(evaluator: FlaskEvaluator, plan: Candidate) -> bool:
    """True if some family has more flasks than its bound, so that fewer are not ruled out."""
    bounds = CombinatorialBounds(evaluator.rules, frozenset(size for size, count in evaluator.stock.items() if count))
    items = evaluator.rules.items
    counts = Counter(items[min(flask.keys)].family for flask in plan.flasks if not flask.fixed)
    inside: dict[Family, list[Item]] = {}
    for key in sorted(key for flask in plan.flasks if not flask.fixed for key in flask.keys):
        inside.setdefault(items[key].family, []).append(items[key])
    return any(bounds.fewest_flasks(waxes).flasks < counts[family] for family, waxes in inside.items())


def _crossed(evaluator: FlaskEvaluator, best: Candidate, other: Candidate) -> Candidate:
    """The best plan with the flasks of a family taken from the other plan wherever that is better."""
    for family in sorted({item.family for item in evaluator.rules.items.values()}):
        theirs, rest = _part(evaluator, other, family, of_it=True), _part(evaluator, best, family, of_it=False)
        mixed = Candidate(rest.flasks + theirs.flasks, rest.left | theirs.left)
        if score(evaluator, mixed) < score(evaluator, best) and evaluator.is_feasible(mixed.flasks):
            best = mixed
    return best


def _part(evaluator: FlaskEvaluator, plan: Candidate, family: Family, *, of_it: bool) -> Candidate:
    """The part of a plan that is of a family, or that is of the other families."""
    items = evaluator.rules.items
    return Candidate(
        tuple(flask for flask in plan.flasks if (items[min(flask.keys)].family == family) is of_it),
        frozenset(key for key in plan.left if (items[key].family == family) is of_it),
    )
