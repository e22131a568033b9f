"""Fill flasks one wax at a time, then spare what can be spared."""

from __future__ import annotations

from collections.abc import Iterable

from casting.calc.flasks import Bench, Flask, Flasks


def swapped(flasks: Flasks, old: Flask, *new: Flask) -> Flasks:
    """Return the flasks with one replaced.

    Parameters
    ----------
    flasks : tuple of Flask
        Flasks of a plan.
    old : Flask
        The one to take out.
    *new : Flask
        What comes in its place.

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
        Its waxes from now on.
    size : str, optional
        Its size from now on.

    Returns
    -------
    Flask
        The same label, the new waxes.
    """
    return Flask(size or flask.size, keys, flask.label)


def open_to(bench: Bench, flasks: Iterable[Flask], key: str) -> list[Flask]:
    """Return the flasks that a wax might join, fullest first.

    Parameters
    ----------
    bench : Bench
        The day's rules.
    flasks : iterable of Flask
        Flasks of a plan.
    key : str
        The wax.

    Returns
    -------
    list of Flask
        Those not fixed, of the wax's party and sections near enough.
    """
    party = bench.pieces[key].party
    of_party = (flask for flask in flasks if not flask.fixed and bench.pieces[min(flask.keys)].party == party)
    joined = [flask for flask in of_party if bench.together({*flask.keys, key})]
    return sorted(
        joined,
        key=lambda flask: (
            bench.sizes[flask.size].waxes_max - len(flask.keys),
            -sum(sorted(bench.pieces[k].metal_g for k in flask.keys)),
            min(flask.keys),
        ),
    )


def put_in(bench: Bench, flasks: Flasks, key: str, largest_first: bool) -> Flasks | None:
    """Return the flasks with one wax more: in one there, in a new one, or in one made larger.

    Parameters
    ----------
    bench : Bench
        The day's rules, stock and kilns.
    flasks : tuple of Flask
        Flasks of a plan.
    key : str
        A wax that is not barred and in none of them.
    largest_first : bool
        Whether a new flask is the largest that there is, or the one of least powder.

    Returns
    -------
    tuple of Flask or None
        None if there is no way.
    """
    joined = _as_they_are(bench, flasks, key)
    if joined is not None:
        return joined
    spare = bench.spare(flasks)
    sizes = [size for size in by_powder(bench, bench.alone[key]) if spare[size]]
    for size in reversed(sizes) if largest_first else sizes:
        opened = (*flasks, Flask(size, frozenset([key])))
        if bench.kiln_takes(opened):
            return opened
    return _resized(bench, flasks, key)


def _resized(bench: Bench, flasks: Flasks, key: str) -> Flasks | None:
    """One of the flasks with the wax, in another size."""
    spare = bench.spare(flasks)
    for flask in open_to(bench, flasks, key):
        keys = flask.keys | {key}
        for size in by_powder(bench, bench.alone[key]):
            if spare[size] and size != flask.size and bench.fits(keys, size):
                grown = swapped(flasks, flask, with_keys(flask, keys, size))
                if bench.kiln_takes(grown):
                    return grown
    return None


def by_powder(bench: Bench, sizes: Iterable[str]) -> list[str]:
    """Return sizes by the powder they take, least first.

    Parameters
    ----------
    bench : Bench
        The day's powder.
    sizes : iterable of str
        Size keys.

    Returns
    -------
    list of str
        The same keys, sorted.
    """
    return sorted(sizes, key=lambda size: (bench.powder_g[size], size))


def shrunk(bench: Bench, flasks: Flasks) -> Flasks:
    """Return the flasks, each in the size of least cost that the others leave.

    Parameters
    ----------
    bench : Bench
        The day's rules, stock and kilns.
    flasks : tuple of Flask
        Flasks of a plan.

    Returns
    -------
    tuple of Flask
        The same waxes together.
    """
    better = True
    while better:
        better = False
        for flask in sorted(flasks, key=lambda f: (-bench.powder_g[f.size], min(f.keys))):
            smaller = None if flask.fixed else _cheaper(bench, flasks, flask)
            if smaller is not None:
                flasks, better = swapped(flasks, flask, smaller), True
    return flasks


def _cheaper(bench: Bench, flasks: Flasks, flask: Flask) -> Flask | None:
    spare, now = bench.spare(flasks), bench.cost(flask.keys, flask.size)
    costs = sorted((bench.cost(flask.keys, size), size) for size in bench.alone[min(flask.keys)] if spare[size])
    for cost, size in costs:
        if cost > now - 1e-9:
            return None
        if bench.fits(flask.keys, size):
            smaller = with_keys(flask, flask.keys, size)
            if bench.kiln_takes(swapped(flasks, flask, smaller)):
                return smaller
    return None


def emptied(bench: Bench, flasks: Flasks) -> Flasks:
    """Return the flasks, fewer where one could be emptied into the others.

    Parameters
    ----------
    bench : Bench
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
        rest: Flasks | None = swapped(flasks, flask)
        for key in sorted(flask.keys, key=lambda k: (-bench.pieces[k].area_mm2, k)):
            rest = rest and (_as_they_are(bench, rest, key) or _resized(bench, rest, key))
        if rest:
            return emptied(bench, rest)
    return flasks


def _as_they_are(bench: Bench, flasks: Flasks, key: str) -> Flasks | None:
    """One of the flasks with the wax, in its size."""
    for flask in open_to(bench, flasks, key):
        keys = flask.keys | {key}
        if bench.fits(keys, flask.size):
            grown = swapped(flasks, flask, with_keys(flask, keys))
            if bench.kiln_takes(grown):
                return grown
    return None
