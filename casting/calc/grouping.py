"""Put the day's waxes into flasks: several tries, the best by the day's aim."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator

from casting.calc.aims import Least, Tried, in_order, score
from casting.calc.bounds import prove, usable_sizes
from casting.calc.bringing_in import brought_in
from casting.calc.day import DayInput
from casting.calc.effort import Effort
from casting.calc.filling import emptied, put_in, shrunk
from casting.calc.flasks import LOOSER, SEEK_HARD, SEEK_SURE, Bench, Flask, Flasks
from casting.calc.kept import kept
from casting.calc.labels import moved_from, relabel, stay_put
from casting.calc.left_out import barred, for_want_of_room
from casting.calc.mounting import Stood, Worn, as_mounted
from casting.calc.needs import Needs
from casting.calc.result import Group, Grouping, LeftOut, Place
from casting.calc.saving import saved
from casting.calc.share import Party, Piece
from casting.calc.sharing_out import Covers, settled, shared_out
from casting.calc.staying import stayed

__all__ = ["group", "relabel"]

TRUST, TRUSTING = 0.8, 3
"""How full a flask of a first plan may be for a layout to be taken for granted until the end, and in how many tries."""

RUNGS = (10, 100, 400, 1600, 6400)
"""Efforts at which the waxes are shared out all at once, each from the plan before: more is never worse."""


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
    bench = Bench(day, without)
    seeds = kept(bench)
    inside = {key for flask in seeds for key in flask.keys}
    outside = [key for key in bench.pieces if key not in inside]
    out = {key: why for key in outside if (why := barred(bench, key))}
    loose = [key for key in outside if key not in out]
    best, least = _shared_out(bench, seeds, loose, effort)
    for key in sorted(best.left):
        out[key] = for_want_of_room(bench, key, best.flasks)
    left_out = tuple(out[key] for key in sorted(out))
    return _written(bench, best.flasks, left_out, None if without else least, longer=effort >= RUNGS[0])


def _shared_out(bench: Bench, seeds: Flasks, loose: list[str], effort: int) -> tuple[Tried, Least | None]:
    """The best plan of some tries, then of sharing out all waxes at once, further with each rung."""
    plan, least = _best(bench, seeds, loose), None
    needs = Needs(bench, usable_sizes(bench, tuple(flask for flask in seeds if flask.fixed)))
    covers = Covers(bench, needs)
    rungs = [rung for rung in RUNGS if rung <= effort]
    for rung in rungs[1:] or rungs:
        if least and settled(bench, plan, least):
            break
        plan, least = shared_out(covers, plan, Effort.of(rung, bench))
        plan = stayed(bench, needs, plan, Effort.of(rung // 4, bench)) if bench.day.previous else plan
    return plan, least


def _best(bench: Bench, seeds: Flasks, loose: list[str]) -> Tried:
    """A plan by filling flasks, and of a second try the better where the first leaves waxes out."""
    ways = _tries(bench, seeds, loose)
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


def _first(bench: Bench, attempt: Callable[[], Tried]) -> Tried:
    """A plan, its layouts and kiln places sought at the end only where there is room; all along if one has none."""
    for _ in range(TRUSTING):
        bench.trust = TRUST
        tried = attempt()
        bench.trust = 0.0
        laid = [bench.layout(flask.keys, flask.size, SEEK_SURE) is not None for flask in tried.flasks]
        if all(laid) and bench.kiln_takes(tried.flasks):
            return tried
    return attempt()


def _spared(bench: Bench, plan: Tried) -> Tried:
    """The plan with savings that need no long search; they do not count as work."""
    spent, bench.daring = bench.spent, -LOOSER
    flasks = saved(bench, plan.flasks)
    bench.spent = spent
    return Tried(flasks, plan.left)


def _tries(bench: Bench, seeds: Flasks, loose: list[str]) -> Iterator[Callable[[], Tried]]:
    """Two ways to fill the flasks: by weight, first pieces before others, then by area; or from the plan before."""
    if bench.day.previous:
        yield lambda: _from_before(bench, seeds, loose)
        yield lambda: _filled(bench, seeds, _order(bench, loose, _area_mm2, firsts=True))
    else:
        yield lambda: _filled(bench, seeds, _order(bench, loose, _metal_g, firsts=True))
        yield lambda: _filled(bench, seeds, _order(bench, loose, _area_mm2, firsts=False))


def _open_parties(bench: Bench, plan: Tried) -> set[Party]:
    """Parties with more flasks than their bound."""
    needs = Needs(bench, frozenset(size for size, count in bench.stock.items() if count))
    counts = Counter(bench.pieces[min(flask.keys)].party for flask in plan.flasks if not flask.fixed)
    waxes: dict[Party, list[Piece]] = {}
    for key in sorted(key for flask in plan.flasks if not flask.fixed for key in flask.keys):
        waxes.setdefault(bench.pieces[key].party, []).append(bench.pieces[key])
    return {party for party, pieces in waxes.items() if needs.of(pieces).flasks < counts[party]}


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


def _filled(bench: Bench, flasks: Flasks, order: list[str]) -> Tried:
    left = []
    for key in order:
        grown = put_in(bench, flasks, key, largest_first=True)
        if grown is None:
            left.append(key)
        else:
            flasks = grown
    return _improved(bench, flasks, left)


def _improved(bench: Bench, flasks: Flasks, left: list[str]) -> Tried:
    flasks = shrunk(bench, emptied(bench, flasks))
    if left:
        flasks, left = brought_in(bench, flasks, left)
        flasks = shrunk(bench, flasks)
    return Tried(flasks, frozenset(left))


def _from_before(bench: Bench, seeds: Flasks, loose: list[str]) -> Tried:
    """The plan before, as far as it still holds, and the new waxes beside it."""
    flasks, waiting = seeds, set(loose)
    for _, before in sorted(bench.day.previous.items()):
        keys = frozenset(before.waxes) & waiting
        if not keys or before.size not in bench.sizes or not bench.fits(keys, before.size, SEEK_HARD):
            continue
        grown = (*flasks, Flask(before.size, keys))
        if bench.stands(grown):
            flasks, waiting = grown, waiting - keys
    return _filled(bench, flasks, _order(bench, sorted(waiting), _area_mm2, firsts=True))


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


def _written(
    bench: Bench, flasks: Flasks, left_out: tuple[LeftOut, ...], least: Least | None, *, longer: bool
) -> Grouping:
    flasks = in_order(flasks)
    labels = stay_put(flasks, bench.day)
    kiln_places = bench.kiln_places(flasks)
    moved = {key: label for flask, label in zip(flasks, labels, strict=True) for key in flask.keys}
    if kiln_places is None:
        raise AssertionError("the flasks were accepted without places in the kilns")
    evened = _evened(bench, flasks, longer=longer)
    return Grouping(
        groups=tuple(Group(label, flask.size, evened[flask.keys]) for flask, label in zip(flasks, labels, strict=True)),
        left_out=left_out,
        kiln_places=dict(zip(labels, kiln_places, strict=True)),
        proof=prove(bench, flasks, left_out, least),
        moved=moved_from(moved, bench.day),
    )


def _evened(bench: Bench, flasks: Flasks, *, longer: bool) -> dict[frozenset[str], dict[str, Place]]:
    """The flasks' layouts, by their waxes, as the teacher mounts by them. A tree's rings are even as found."""
    found = {flask.keys: _laid(bench, flask) for flask in flasks}
    cones = [flask for flask in flasks if not bench.bases[flask.size].trunk]
    stood = []
    for flask in cones:
        pieces = [bench.pieces[key] for key in sorted(flask.keys)]
        worn = tuple(Worn(piece.footprint, piece.wax.student, piece.metal_g) for piece in pieces)
        places = tuple(found[flask.keys][piece.key] for piece in pieces)
        stood.append(Stood(worn, places, bench.bases[flask.size]))
    for flask, places in zip(cones, as_mounted(stood, longer=longer), strict=True):
        found[flask.keys] = dict(zip(sorted(flask.keys), places, strict=True))
    return found


def _laid(bench: Bench, flask: Flask) -> dict[str, Place]:
    places = bench.layout(flask.keys, flask.size, SEEK_HARD)
    if places is None:
        raise AssertionError(f"a flask of {sorted(flask.keys)} was accepted without a layout")
    return dict(places)
