"""A plan at once: flasks filled wax by wax, and what is likely to hold sought only at the end."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from casting.calc.grouping.bounds.combinatorial import Needs
from casting.calc.grouping.evaluator import LOOSER, SEEK_HARD, SEEK_SURE, Flask, FlaskEvaluator, Flasks
from casting.calc.grouping.flask_rules import Item, Party
from casting.calc.grouping.heuristics.ejection import brought_in
from casting.calc.grouping.heuristics.insertion import emptied, put_in, shrunk
from casting.calc.grouping.heuristics.local_search import saved
from casting.calc.grouping.objective import Tried, score

TRUST, TRUSTING = 0.8, 6
"""How full a flask may be for a layout to be taken for granted until the end, and how often that is done."""


@dataclass(frozen=True, slots=True)
class Way:
    """How to fill flasks: those there already, and the waxes in the order they are put in."""

    flasks: Flasks
    order: list[str]


def first_plan(evaluator: FlaskEvaluator, seeds: Flasks, loose: list[str]) -> Tried:
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
    Tried
        Flasks with layouts and places in the kilns, and the waxes left out.
    """
    evaluator.brief = True
    plan = _best(evaluator, _ways(evaluator, seeds, loose))
    evaluator.brief = False
    return plan


def _best(evaluator: FlaskEvaluator, ways: Iterator[Way]) -> Tried:
    best = _first(evaluator, next(ways))
    spared = [best if _open_parties(evaluator, best) else _spared(evaluator, best)]
    if best.left:
        evaluator.daring = LOOSER
        tried = _first(evaluator, next(ways))
        better = min([best, tried, _crossed(evaluator, best, tried)], key=lambda plan: score(evaluator, plan))
        if better is not best:
            spared.append(better if _open_parties(evaluator, better) else _spared(evaluator, better))
    evaluator.daring = 0.0
    return min(spared, key=lambda plan: score(evaluator, plan))


def _first(evaluator: FlaskEvaluator, way: Way) -> Tried:
    """Flasks filled, their layouts and kiln places sought at the end if there is room; what has none, put in anew."""
    evaluator.trust, evaluator.roomy = TRUST, True
    tried = _filled(evaluator, way)
    for _ in range(TRUSTING):
        evaluator.trust = 0.0
        evaluator.lay_out(tried.flasks)
        laid = tuple(flask for flask in tried.flasks if evaluator.layout(flask.keys, flask.size, SEEK_SURE) is not None)
        takes = evaluator.kiln_takes(tried.flasks)
        if takes and len(laid) == len(tried.flasks):
            return tried
        evaluator.trust, evaluator.roomy = TRUST, takes
        tried = _filled(evaluator, _put_back(evaluator, way, laid) if takes else way)
    evaluator.trust = 0.0
    return _filled(evaluator, way)


def _put_back(evaluator: FlaskEvaluator, way: Way, laid: Flasks) -> Way:
    """Flasks that have layouts, those that were there before the others were filled, and the other waxes."""
    inside = {key for flask in laid for key in flask.keys}
    begun = tuple(flask for flask in way.flasks if not flask.keys & inside)
    if not evaluator.stands(laid + begun):
        return way
    inside.update(key for flask in begun for key in flask.keys)
    others = [*sorted(key for flask in way.flasks for key in flask.keys), *way.order]
    return Way(laid + begun, [key for key in others if key not in inside])


def _filled(evaluator: FlaskEvaluator, way: Way) -> Tried:
    flasks, left = way.flasks, []
    for key in way.order:
        grown = put_in(evaluator, flasks, key, largest_first=True)
        if grown is None:
            left.append(key)
        else:
            flasks = grown
    flasks = shrunk(evaluator, emptied(evaluator, flasks))
    if left:
        flasks, left = brought_in(evaluator, flasks, left)
        flasks = shrunk(evaluator, flasks)
    return Tried(flasks, frozenset(left))


def _spared(evaluator: FlaskEvaluator, plan: Tried) -> Tried:
    """The plan with savings that need no long search; they do not count as work."""
    spent, evaluator.daring = evaluator.spent, -LOOSER
    flasks = saved(evaluator, plan.flasks)
    evaluator.spent = spent
    return Tried(flasks, plan.left)


def _ways(evaluator: FlaskEvaluator, seeds: Flasks, loose: list[str]) -> Iterator[Way]:
    """By weight, first pieces before others, then by area; or from the plan before."""
    if evaluator.day.previous:
        yield _from_before(evaluator, seeds, loose)
        yield Way(seeds, _order(evaluator, loose, _area_mm2, firsts=True))
    else:
        yield Way(seeds, _order(evaluator, loose, _metal_g, firsts=True))
        yield Way(seeds, _order(evaluator, loose, _area_mm2, firsts=False))


def _from_before(evaluator: FlaskEvaluator, seeds: Flasks, loose: list[str]) -> Way:
    """The plan before, as far as it still holds, and the new waxes beside it."""
    flasks, waiting = seeds, set(loose)
    for _, before in sorted(evaluator.day.previous.items()):
        keys = frozenset(before.waxes) & waiting
        if not keys or before.size not in evaluator.sizes or not evaluator.fits(keys, before.size, SEEK_HARD):
            continue
        grown = (*flasks, Flask(before.size, keys))
        if evaluator.stands(grown):
            flasks, waiting = grown, waiting - keys
    return Way(flasks, _order(evaluator, sorted(waiting), _area_mm2, firsts=True))


def _area_mm2(piece: Item) -> float:
    return piece.area_mm2


def _metal_g(piece: Item) -> float:
    return piece.metal_g


def _order(evaluator: FlaskEvaluator, loose: list[str], measure: Callable[[Item], float], *, firsts: bool) -> list[str]:
    """Waxes largest first by a measure; first pieces, and what few flasks take, before others if asked."""
    return sorted(
        loose,
        key=lambda key: (
            firsts and evaluator.pieces[key].wax.piece != 1,
            sum(evaluator.stock[size] for size in evaluator.alone[key]) if firsts else 0,
            -measure(evaluator.pieces[key]),
            key,
        ),
    )


def _open_parties(evaluator: FlaskEvaluator, plan: Tried) -> set[Party]:
    """Parties with more flasks than their bound."""
    needs = Needs(evaluator, frozenset(size for size, count in evaluator.stock.items() if count))
    counts = Counter(evaluator.pieces[min(flask.keys)].party for flask in plan.flasks if not flask.fixed)
    waxes: dict[Party, list[Item]] = {}
    for key in sorted(key for flask in plan.flasks if not flask.fixed for key in flask.keys):
        waxes.setdefault(evaluator.pieces[key].party, []).append(evaluator.pieces[key])
    return {party for party, pieces in waxes.items() if needs.of(pieces).flasks < counts[party]}


def _crossed(evaluator: FlaskEvaluator, best: Tried, tried: Tried) -> Tried:
    """The best with each party's flasks taken from the other try where those are better."""
    for party in sorted({piece.party for piece in evaluator.pieces.values()}):

        def of(plan: Tried, here: bool, party: tuple[str, str, str] = party) -> Tried:
            return Tried(
                tuple(f for f in plan.flasks if (evaluator.pieces[min(f.keys)].party == party) is here),
                frozenset(k for k in plan.left if (evaluator.pieces[k].party == party) is here),
            )

        theirs, others = of(tried, True), of(best, False)
        mixed = Tried(others.flasks + theirs.flasks, others.left | theirs.left)
        if score(evaluator, mixed) < score(evaluator, best) and evaluator.stands(mixed.flasks):
            best = mixed
    return best
