"""Puts a wax down on a board: others stay where they are if they can, else as few as possible move."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from casting.calc.advice.carrying import Board, laid_out, on_trunk
from casting.calc.advice.on_tree import tree_of, with_one_more
from casting.calc.grouping.breaches import together
from casting.calc.layout.around import find_spots
from casting.calc.layout.making_room import make_room
from casting.calc.layout.search import find_layout
from casting.calc.layout.tidy import MountedFlask, WaxIdentity, tidy
from casting.calc.values.day_plan import Place, TreePlace
from casting.calc.values.placed import PlacedFlask

FIT_WORK = 58
"""Trial layouts for waxes that are laid out anew: two batches after the first."""


@dataclass(frozen=True, slots=True)
class Landing:
    """The flasks after a wax was put down, and the waxes that moved to make room for it or close the gap it left."""

    flasks: tuple[PlacedFlask, ...]
    moved: tuple[str, ...]


def put_down(board: Board, key: str, label: str, spot: Place | None = None, size: str = "") -> Landing | None:
    """Return the board with a wax put into a flask.

    Parameters
    ----------
    board : Board
        The flasks as they stand.
    key : str
        The wax, in one of them or in none.
    label : str
        The flask that takes it; a new label for a new flask of `size`.
    spot : Place, optional
        Where it has to stand [mm, degrees], on a tree where it stands if it may; otherwise the program chooses.
    size : str
        The size of a new flask.

    Returns
    -------
    Landing or None
        None if a rule keeps it out (`Board.breaches`, `Board.at`), or no layout was found, which proves nothing.
    """
    flask = board.named(label)
    if board.breaches(key, label if flask else "", size):
        return None
    target = flask or PlacedFlask(label, size, ())
    others = {one: at for one, at in target.spots.items() if one != key}
    spots = _spots(board, key, target, others, spot)
    if spots is None:
        return None
    landed = laid_out(target, spots)
    lifted = [one for one in board.lift(key) if one.label != label]
    stands = {one.label: one for one in (*lifted, landed)}
    order = [*(one.label for one in board.flasks if one.label in stands), *([] if flask else [label])]
    flasks = tuple(stands[one] for one in order)
    return Landing(flasks, _moved(board, flasks, {key}))


def _moved(board: Board, flasks: tuple[PlacedFlask, ...], carried: Collection[str]) -> tuple[str, ...]:
    """The waxes not carried whose spot is another one."""
    before = {one: at for flask in board.flasks for one, at in flask.spots.items()}
    after = {one: at for flask in flasks for one, at in flask.spots.items()}
    return tuple(sorted(one for one, at in after.items() if one not in carried and before[one] != at))


def _spots(
    board: Board, key: str, target: PlacedFlask, others: Mapping[str, Place], spot: Place | None
) -> Mapping[str, Place] | None:
    """The spots of a flask's waxes with one more among them."""
    if spot is not None and not board.at(key, target.label if board.named(target.label) else "", spot, target.size):
        return {**others, key: spot}
    base = board.rules.bases[target.size]
    if base.trunk is not None:
        fits = spot is None or isinstance(spot, TreePlace)
        return with_one_more(board.rules, on_trunk(others), key, target.size) if fits else None
    names = [key, *sorted(others)]
    footprints = [board.rules.items[one].footprint for one in names]
    stands = [others[one] for one in names[1:]]
    if spot is None:
        (found,) = find_spots([(footprints[0], list(zip(footprints[1:], stands, strict=True)), base)])
        if found is not None:
            return {**others, key: found}
    places = make_room(footprints, stands, base, spot)
    return None if places is None else dict(zip(names, places, strict=True))


def fit(board: Board, keys: frozenset[str], size: str) -> dict[str, Place] | None:
    """Return a layout of waxes that are to share a flask, wherever they stand now.

    Parameters
    ----------
    board : Board
        The board, for its rules.
    keys : frozenset of str
        The waxes, at least one.
    size : str
        The flask's size.

    Returns
    -------
    dict of str to Place, or None
        Set as a caster would [mm, degrees]. None if a rule keeps them apart, or no layout was found, which proves
        nothing.
    """
    names, base = sorted(keys), board.rules.bases[size]
    if together(board.rules, names, size):
        return None
    if base.trunk is not None:
        return tree_of(board.rules, keys, size)
    items = [board.rules.items[key] for key in names]
    places = find_layout([item.footprint for item in items], base, FIT_WORK)
    if places is None:
        return None
    waxes = tuple(WaxIdentity(item.footprint, item.wax.student, item.metal_g) for item in items)
    (tidied,) = tidy([MountedFlask(waxes, places, base)], longer=False)
    return dict(zip(names, tidied, strict=True))


def swap(board: Board, one: str, other: str) -> Landing | None:
    """Return the board with two waxes in each other's flask.

    Parameters
    ----------
    board : Board
        The flasks as they stand.
    one, other : str
        Waxes of two different flasks.

    Returns
    -------
    Landing or None
        Each stands where the other stood, if it may; None if a rule forbids it, or no layout was found.
    """
    mine, theirs = board.flask_of(one), board.flask_of(other)
    if mine is None or theirs is None or mine.label == theirs.label:
        return None
    if {mine.label, theirs.label} & set(board.day.fixed):
        return None
    carried = {one, other}
    flasks = tuple(
        laid_out(flask, {key: at for key, at in flask.spots.items() if key not in carried}) for flask in board.flasks
    )
    for key, into, spot in ((one, theirs, theirs.spots[other]), (other, mine, mine.spots[one])):
        between = Board(board.day, flasks)
        landing = put_down(between, key, into.label, spot) or put_down(between, key, into.label)
        if landing is None:
            return None
        flasks = landing.flasks
    return Landing(flasks, _moved(board, flasks, carried))
