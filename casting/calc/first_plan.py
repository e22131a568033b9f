"""A plan at once: flasks filled wax by wax, and what is likely to hold sought only at the end."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from casting.calc.aims import Tried, score
from casting.calc.bringing_in import brought_in
from casting.calc.filling import emptied, put_in, shrunk
from casting.calc.flasks import LOOSER, SEEK_HARD, SEEK_SURE, Bench, Flask, Flasks
from casting.calc.needs import Needs
from casting.calc.saving import saved
from casting.calc.share import Party, Piece

TRUST, TRUSTING = 0.8, 6
"""How full a flask may be for a layout to be taken for granted until the end, and how often that is done."""


@dataclass(frozen=True, slots=True)
class Way:
    """How to fill flasks: those there already, and the waxes in the order they are put in."""

    flasks: Flasks
    order: list[str]


def first_plan(bench: Bench, seeds: Flasks, loose: list[str]) -> Tried:
    """Return a plan by filling flasks, and of a second try the better where the first leaves waxes out.

    Parameters
    ----------
    bench : Bench
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
    bench.brief = True
    plan = _best(bench, _ways(bench, seeds, loose))
    bench.brief = False
    return plan


def _best(bench: Bench, ways: Iterator[Way]) -> Tried:
    best = _first(bench, next(ways))
    spared = [best if _open_parties(bench, best) else _spared(bench, best)]
    if best.left:
        bench.daring = LOOSER
        tried = _first(bench, next(ways))
        better = min([best, tried, _crossed(bench, best, tried)], key=lambda plan: score(bench, plan))
        if better is not best:
            spared.append(better if _open_parties(bench, better) else _spared(bench, better))
    bench.daring = 0.0
    return min(spared, key=lambda plan: score(bench, plan))


def _first(bench: Bench, way: Way) -> Tried:
    """Flasks filled, their layouts and kiln places sought at the end if there is room; what has none, put in anew."""
    bench.trust, bench.roomy = TRUST, True
    tried = _filled(bench, way)
    for _ in range(TRUSTING):
        bench.trust = 0.0
        bench.lay_out(tried.flasks)
        laid = tuple(flask for flask in tried.flasks if bench.layout(flask.keys, flask.size, SEEK_SURE) is not None)
        takes = bench.kiln_takes(tried.flasks)
        if takes and len(laid) == len(tried.flasks):
            return tried
        bench.trust, bench.roomy = TRUST, takes
        tried = _filled(bench, _put_back(bench, way, laid) if takes else way)
    bench.trust = 0.0
    return _filled(bench, way)


def _put_back(bench: Bench, way: Way, laid: Flasks) -> Way:
    """Flasks that have layouts, those that were there before the others were filled, and the other waxes."""
    inside = {key for flask in laid for key in flask.keys}
    begun = tuple(flask for flask in way.flasks if not flask.keys & inside)
    if not bench.stands(laid + begun):
        return way
    inside.update(key for flask in begun for key in flask.keys)
    others = [*sorted(key for flask in way.flasks for key in flask.keys), *way.order]
    return Way(laid + begun, [key for key in others if key not in inside])


def _filled(bench: Bench, way: Way) -> Tried:
    flasks, left = way.flasks, []
    for key in way.order:
        grown = put_in(bench, flasks, key, largest_first=True)
        if grown is None:
            left.append(key)
        else:
            flasks = grown
    flasks = shrunk(bench, emptied(bench, flasks))
    if left:
        flasks, left = brought_in(bench, flasks, left)
        flasks = shrunk(bench, flasks)
    return Tried(flasks, frozenset(left))


def _spared(bench: Bench, plan: Tried) -> Tried:
    """The plan with savings that need no long search; they do not count as work."""
    spent, bench.daring = bench.spent, -LOOSER
    flasks = saved(bench, plan.flasks)
    bench.spent = spent
    return Tried(flasks, plan.left)


def _ways(bench: Bench, seeds: Flasks, loose: list[str]) -> Iterator[Way]:
    """By weight, first pieces before others, then by area; or from the plan before."""
    if bench.day.previous:
        yield _from_before(bench, seeds, loose)
        yield Way(seeds, _order(bench, loose, _area_mm2, firsts=True))
    else:
        yield Way(seeds, _order(bench, loose, _metal_g, firsts=True))
        yield Way(seeds, _order(bench, loose, _area_mm2, firsts=False))


def _from_before(bench: Bench, seeds: Flasks, loose: list[str]) -> Way:
    """The plan before, as far as it still holds, and the new waxes beside it."""
    flasks, waiting = seeds, set(loose)
    for _, before in sorted(bench.day.previous.items()):
        keys = frozenset(before.waxes) & waiting
        if not keys or before.size not in bench.sizes or not bench.fits(keys, before.size, SEEK_HARD):
            continue
        grown = (*flasks, Flask(before.size, keys))
        if bench.stands(grown):
            flasks, waiting = grown, waiting - keys
    return Way(flasks, _order(bench, sorted(waiting), _area_mm2, firsts=True))


def _area_mm2(piece: Piece) -> float:
    return piece.area_mm2


def _metal_g(piece: Piece) -> float:
    return piece.metal_g


def _order(bench: Bench, loose: list[str], measure: Callable[[Piece], float], *, firsts: bool) -> list[str]:
    """Waxes largest first by a measure; first pieces, and what few flasks take, before others if asked."""
    return sorted(
        loose,
        key=lambda key: (
            firsts and bench.pieces[key].wax.piece != 1,
            sum(bench.stock[size] for size in bench.alone[key]) if firsts else 0,
            -measure(bench.pieces[key]),
            key,
        ),
    )


def _open_parties(bench: Bench, plan: Tried) -> set[Party]:
    """Parties with more flasks than their bound."""
    needs = Needs(bench, frozenset(size for size, count in bench.stock.items() if count))
    counts = Counter(bench.pieces[min(flask.keys)].party for flask in plan.flasks if not flask.fixed)
    waxes: dict[Party, list[Piece]] = {}
    for key in sorted(key for flask in plan.flasks if not flask.fixed for key in flask.keys):
        waxes.setdefault(bench.pieces[key].party, []).append(bench.pieces[key])
    return {party for party, pieces in waxes.items() if needs.of(pieces).flasks < counts[party]}


def _crossed(bench: Bench, best: Tried, tried: Tried) -> Tried:
    """The best with each party's flasks taken from the other try where those are better."""
    for party in sorted({piece.party for piece in bench.pieces.values()}):

        def of(plan: Tried, here: bool, party: tuple[str, str, str] = party) -> Tried:
            return Tried(
                tuple(f for f in plan.flasks if (bench.pieces[min(f.keys)].party == party) is here),
                frozenset(k for k in plan.left if (bench.pieces[k].party == party) is here),
            )

        theirs, others = of(tried, True), of(best, False)
        mixed = Tried(others.flasks + theirs.flasks, others.left | theirs.left)
        if score(bench, mixed) < score(bench, best) and bench.stands(mixed.flasks):
            best = mixed
    return best
