"""A plan at once: flasks filled wax by wax, and what is likely to hold sought only at the end."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds
from casting.calc.grouping.budget import LOOSER, SEEK_HARD, SEEK_SURE, TRUST, TRUSTING
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.flask_rules import Family, Item
from casting.calc.grouping.heuristics.ejection import reinsert
from casting.calc.grouping.heuristics.insertion import close_flasks, downsize, insert_wax
from casting.calc.grouping.heuristics.local_search import improve
from casting.calc.grouping.objective import score
from casting.calc.grouping.solution import Candidate, Flask, Flasks


@dataclass(frozen=True, slots=True)
class FillOrder:
    """How to fill flasks: those there already, and the waxes in the order they are put in."""

    flasks: Flasks
    order: list[str]


def construct(evaluator: FlaskEvaluator, seeds: Flasks, loose: list[str]) -> Candidate:
    """Return a plan by filling flasks, and of a second try the better where the first leaves waxes out.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's rules, stock and kilns.
    seeds : tuple of Flask
        Flasks that are held or fixed.
    loose : list of str
        Waxes in none of them; none is barred.

    Returns
    -------
    Candidate
        Flasks with layouts and places in the kilns, and the waxes left out.
    """
    evaluator.brief = True
    plan = _best(evaluator, _fill_orders(evaluator, seeds, loose))
    evaluator.brief = False
    return plan


def _best(evaluator: FlaskEvaluator, ways: Iterator[FillOrder]) -> Candidate:
    best = _first(evaluator, next(ways))
    spared = [best if _open_families(evaluator, best) else _spared(evaluator, best)]
    if best.left:
        evaluator.daring = LOOSER
        tried = _first(evaluator, next(ways))
        better = min([best, tried, _crossed(evaluator, best, tried)], key=lambda plan: score(evaluator, plan))
        if better is not best:
            spared.append(better if _open_families(evaluator, better) else _spared(evaluator, better))
    evaluator.daring = 0.0
    return min(spared, key=lambda plan: score(evaluator, plan))


def _first(evaluator: FlaskEvaluator, way: FillOrder) -> Candidate:
    """Flasks filled, their layouts and kiln places sought at the end if there is room; what has none, put in anew."""
    evaluator.trust, evaluator.roomy = TRUST, True
    tried = _filled(evaluator, way)
    for _ in range(TRUSTING):
        evaluator.trust = 0.0
        evaluator.search_layouts(tried.flasks)
        laid = tuple(flask for flask in tried.flasks if evaluator.layout(flask.keys, flask.size, SEEK_SURE) is not None)
        takes = evaluator.kiln_takes(tried.flasks)
        if takes and len(laid) == len(tried.flasks):
            return tried
        evaluator.trust, evaluator.roomy = TRUST, takes
        tried = _filled(evaluator, _put_back(evaluator, way, laid) if takes else way)
    evaluator.trust = 0.0
    return _filled(evaluator, way)


def _put_back(evaluator: FlaskEvaluator, way: FillOrder, laid: Flasks) -> FillOrder:
    """Flasks that have layouts, those that were there before the others were filled, and the other waxes."""
    inside = {key for flask in laid for key in flask.keys}
    begun = tuple(flask for flask in way.flasks if not flask.keys & inside)
    if not evaluator.is_feasible(laid + begun):
        return way
    inside.update(key for flask in begun for key in flask.keys)
    others = [*sorted(key for flask in way.flasks for key in flask.keys), *way.order]
    return FillOrder(laid + begun, [key for key in others if key not in inside])


def _filled(evaluator: FlaskEvaluator, way: FillOrder) -> Candidate:
    flasks, left = way.flasks, []
    for key in way.order:
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


def _spared(evaluator: FlaskEvaluator, plan: Candidate) -> Candidate:
    """The plan with savings that need no long search; they do not count as work."""
    spent, evaluator.daring = evaluator.spent, -LOOSER
    flasks = improve(evaluator, plan.flasks)
    evaluator.spent = spent
    return Candidate(flasks, plan.left)


def _fill_orders(evaluator: FlaskEvaluator, seeds: Flasks, loose: list[str]) -> Iterator[FillOrder]:
    """By weight, first pieces before others, then by area; or from the plan before."""
    if evaluator.day.previous:
        yield _from_before(evaluator, seeds, loose)
        yield FillOrder(seeds, _order(evaluator, loose, _area_mm2, firsts=True))
    else:
        yield FillOrder(seeds, _order(evaluator, loose, _metal_g, firsts=True))
        yield FillOrder(seeds, _order(evaluator, loose, _area_mm2, firsts=False))


def _from_before(evaluator: FlaskEvaluator, seeds: Flasks, loose: list[str]) -> FillOrder:
    """The plan before, as far as it still holds, and the new waxes beside it."""
    flasks, waiting = seeds, set(loose)
    for _, before in sorted(evaluator.day.previous.items()):
        keys = frozenset(before.waxes) & waiting
        if not keys or before.size not in evaluator.sizes or not evaluator.fits(keys, before.size, SEEK_HARD):
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
    """Waxes largest first by a measure; first pieces, and what few flasks take, before others if asked."""
    return sorted(
        loose,
        key=lambda key: (
            firsts and evaluator.items[key].wax.piece != 1,
            sum(evaluator.stock[size] for size in evaluator.alone[key]) if firsts else 0,
            -measure(evaluator.items[key]),
            key,
        ),
    )


def _open_families(evaluator: FlaskEvaluator, plan: Candidate) -> set[Family]:
    """Families with more flasks than their bound."""
    bounds = CombinatorialBounds(evaluator, frozenset(size for size, count in evaluator.stock.items() if count))
    counts = Counter(evaluator.items[min(flask.keys)].family for flask in plan.flasks if not flask.fixed)
    waxes: dict[Family, list[Item]] = {}
    for key in sorted(key for flask in plan.flasks if not flask.fixed for key in flask.keys):
        waxes.setdefault(evaluator.items[key].family, []).append(evaluator.items[key])
    return {family for family, items in waxes.items() if bounds.fewest_flasks(items).flasks < counts[family]}


def _crossed(evaluator: FlaskEvaluator, best: Candidate, tried: Candidate) -> Candidate:
    """The best with each family's flasks taken from the other try where those are better."""
    for family in sorted({item.family for item in evaluator.items.values()}):

        def of(plan: Candidate, here: bool, family: tuple[str, str, str] = family) -> Candidate:
            return Candidate(
                tuple(f for f in plan.flasks if (evaluator.items[min(f.keys)].family == family) is here),
                frozenset(k for k in plan.left if (evaluator.items[k].family == family) is here),
            )

        theirs, others = of(tried, True), of(best, False)
        mixed = Candidate(others.flasks + theirs.flasks, others.left | theirs.left)
        if score(evaluator, mixed) < score(evaluator, best) and evaluator.is_feasible(mixed.flasks):
            best = mixed
    return best
