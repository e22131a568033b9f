"""What each move on the board does to flasks, to their waxes and to what the teacher keeps. Writes nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from django.utils.translation import gettext as _

from casting.calc.advice.carrying import Board, Verdict
from casting.calc.advice.putting_down import fit, put_down, swap
from casting.calc.grouping.labels import letters
from casting.calc.values.day_plan import Place
from casting.calc.values.placed import PlacedFlask, PlacedWax
from casting.models.errors import NotPlanned
from casting.presenters.carrying_words import in_one_line
from casting.presenters.standing import Flasks, Standing
from casting.selectors.board import Kept


@dataclass(frozen=True, slots=True)
class Move:
    """What a teacher asks for. `spot` is where a wax is held; `shift` nudges and turns it: mm right, mm up, degrees.

    `tier` and `hour` say where on a tree: its tier from the button, or one above all, and the hour from the notch.
    """

    do: str
    tag: str = ""
    label: str = ""
    other: str = ""
    size: str = ""
    tags: tuple[str, ...] = ()
    spot: Place | None = None
    shift: tuple[float, float, float] = (0.0, 0.0, 0.0)
    reason: str = ""
    tier: int = 0
    hour: int = 0


class BeyondReach(NotPlanned):
    """Only the reach of the cone keeps a wax from this spot, which a reason overrules."""

    def __init__(self, sentence: str, spot: Place) -> None:
        self.spot = spot
        super().__init__(sentence)


@dataclass(frozen=True, slots=True)
class Moved:
    """The board after a move; `figures` are what its sentence names, `said` is what else the teacher should know."""

    flasks: Flasks
    kept: Kept
    held: Mapping[str, str]
    figures: Mapping[str, Any] = field(default_factory=dict)
    said: str = ""


def moved(standing: Standing, move: Move) -> Moved:
    """Return the board after a move. Raises `NotPlanned` with a sentence if it cannot be."""
    return MOVES[move.do](standing, move)


def _carry(standing: Standing, move: Move) -> Moved:
    """Carry a wax to a flask, or to an empty one of a size; on a spot, if one is given and takes it."""
    tag, here = move.tag, standing.open_home(move.tag)
    if here and here == move.label:
        return _to_spot(standing, move)
    if move.label:
        standing.open_flask(move.label)
    said, spot = "", move.spot if move.label else None
    if spot is not None:
        refused = standing.board.at(tag, move.label, spot)
        if refused:
            why = in_one_line(refused, tag, move.label, standing)
            said = _("Not there: %(why)s %(tag)s stands where there is room instead.") % {"why": why, "tag": tag}
            spot = None
    flasks, label, others = _put(standing, standing.flasks, tag, move.label, move.size, spot)
    refuse_if_kept(standing, others, tag, label)
    kept = _without(standing.kept, [tag])
    if spot is not None:
        kept = replace(kept, spots=kept.spots | {tag})
    figures = {"tag": tag, "from": here, "to": label}
    return Moved(flasks, kept, {**standing.held, tag: label}, figures, said)


def refuse_if_kept(standing: Standing, others: Iterable[str], tag: str, label: str) -> None:
    """Raise `NotPlanned` if a wax would have to move that is kept on its spot."""
    if stuck := sorted(set(others) & standing.kept.spots):
        sentence = _(
            "%(tag)s fits in %(label)s only if %(other)s moves, and you keep %(other)s on its spot. Let it go."
        )
        raise NotPlanned(sentence % {"tag": tag, "label": label, "other": stuck[0]})


def _put(
    standing: Standing, flasks: Flasks, tag: str, label: str, size: str, spot: Place | None = None
) -> tuple[Flasks, str, tuple[str, ...]]:
    """Put a wax into a flask, or into an empty one of a size: the flasks then, its label, who else had to move."""
    board, into = Board(standing.day.day, flasks), label or free_label(standing)
    if not label and size not in board.rules.sizes:
        raise NotPlanned(_("There is no such flask to put %(tag)s into.") % {"tag": tag})
    landing = put_down(board, tag, into, spot, size)
    if landing is None:
        raise NotPlanned(_why_not(standing, board, tag, label, size))
    home = board.flask_of(tag)
    neighbours = {label, home.label if home else ""}
    moved = {
        key for flask in landing.flasks if flask.label == into or flask.label not in neighbours for key in flask.keys
    }
    return landing.flasks, into, tuple(key for key in landing.moved if key in moved)


def _why_not(standing: Standing, board: Board, tag: str, label: str, size: str) -> str:
    """Why a wax was not put down: the rules that refuse it, or that no layout was found."""
    where = label or _("an empty flask")
    breaches = board.breaches(tag, label, size) or next(
        (one.breaches for one in board.answers(tag) if label and one.label == label), ()
    )
    if breaches:
        return in_one_line(breaches, tag, where, standing)
    return _("No layout was found for %(tag)s in %(label)s. Nothing was changed.") % {"tag": tag, "label": where}


def free_label(standing: Standing) -> str:
    """The first letter that no flask has, nor a wax as its tag."""
    taken = {flask.label for flask in standing.flasks} | {wax.key for wax in standing.day.day.waxes}
    return next(label for label in letters() if label not in taken)


def _to_spot(standing: Standing, move: Move) -> Moved:
    """Put a wax on another spot of its own flask: exactly there, or refused with what is in the way."""
    label = standing.open_home(move.tag)
    if not label:
        raise NotPlanned(_("%(tag)s stands in no flask.") % {"tag": move.tag})
    now = standing.flask(label).spots[move.tag]
    if move.spot is None and not any(move.shift):
        raise NotPlanned(_("%(tag)s is in %(label)s already.") % {"tag": move.tag, "label": label})
    spot = moved_by(move.spot or now, move.shift)
    refused = standing.board.at(move.tag, label, spot)
    reach = dict(standing.kept.reach)
    if refused and {str(one.rule) for one in refused} == {"reach"} and move.reason.strip():
        reach[move.tag] = move.reason.strip()
    elif refused:
        only_reach = {str(one.rule) for one in refused} == {"reach"}
        sentence = in_one_line(refused, move.tag, label, standing)
        raise BeyondReach(sentence, spot) if only_reach else NotPlanned(sentence)
    flasks = tuple(_with_spot(flask, move.tag, spot) for flask in standing.flasks)
    kept = replace(standing.kept, spots=standing.kept.spots | {move.tag}, reach=reach)
    figures = {"tag": move.tag, "to": label}
    return Moved(flasks, kept, {**standing.held, move.tag: label}, figures)


def moved_by(spot: Place, by: tuple[float, float, float]) -> Place:
    """Return a spot moved by mm to the right, mm up and degrees."""
    right, up, turn = by
    return Place(round(spot.x_mm + right, 3), round(spot.y_mm + up, 3), round((spot.turn_deg + turn) % 360, 3))


def _with_spot(flask: PlacedFlask, tag: str, spot: Place) -> PlacedFlask:
    return replace(flask, waxes=tuple(replace(wax, spot=spot) if wax.key == tag else wax for wax in flask.waxes))


def _out(standing: Standing, move: Move) -> Moved:
    """Leave a wax out."""
    here = standing.open_home(move.tag)
    flasks = standing.board.lift(move.tag) if here else standing.flasks
    kept = _without(standing.kept, [move.tag])
    kept = replace(kept, out=kept.out | {move.tag})
    held = {tag: label for tag, label in standing.held.items() if tag != move.tag}
    return Moved(flasks, kept, held, {"tag": move.tag, "from": here})


def _back(standing: Standing, move: Move) -> Moved:
    """Take a wax back in that was left out: it waits for a flask again."""
    standing.home(move.tag)
    kept = replace(standing.kept, out=standing.kept.out - {move.tag}, broken=standing.kept.broken - {move.tag})
    return Moved(standing.flasks, kept, standing.held, {"tag": move.tag})


def _without(kept: Kept, tags: Sequence[str]) -> Kept:
    """What is kept, but nothing of these waxes."""
    reach = {tag: why for tag, why in kept.reach.items() if tag not in tags}
    spots, out, broken = (part.difference(tags) for part in (kept.spots, kept.out, kept.broken))
    return replace(kept, spots=spots, out=out, broken=broken, reach=reach)


def _swap(standing: Standing, move: Move) -> Moved:
    """Let two waxes of two flasks change places: each on the other's spot if that takes it."""
    one, two = move.tag, move.other
    here, there = standing.open_home(one), standing.open_home(two)
    if not here or not there or here == there:
        sentence = _("%(tag)s and %(other)s do not stand in two flasks, so they cannot be swapped.")
        raise NotPlanned(sentence % {"tag": one, "other": two})
    landing = swap(standing.board, one, two)
    if landing is None:
        raise NotPlanned(_why_no_swap(standing, (one, there), (two, here)))
    refuse_if_kept(standing, landing.moved, one, there)
    held = {**standing.held, one: there, two: here}
    return Moved(landing.flasks, _without(standing.kept, [one, two]), held, {"tag": one, "other": two, "to": there})


def _why_no_swap(standing: Standing, *into: tuple[str, str]) -> str:
    """Why two waxes do not swap: the rules that refuse either in the other's flask, or that no layout was found."""
    tags = {tag for tag, _label in into}
    flasks = tuple(
        replace(flask, waxes=tuple(wax for wax in flask.waxes if wax.key not in tags)) for flask in standing.flasks
    )
    board = Board(standing.day.day, flasks)
    for tag, label in into:
        if breaches := board.breaches(tag, label):
            return in_one_line(breaches, tag, label, standing)
    return _("No layout was found with %(tags)s swapped. Nothing was changed.") % {"tags": ", ".join(sorted(tags))}


def _split(standing: Standing, move: Move) -> Moved:
    """Put some waxes of a flask into a new one of a size."""
    flask = standing.open_flask(move.label)
    tags = tuple(tag for tag in move.tags if tag in flask.keys)
    if not tags or len(tags) == len(flask.waxes):
        raise NotPlanned(_("Choose some of the waxes of %(label)s, not none and not all.") % {"label": move.label})
    size, label = move.size or flask.size, free_label(standing)
    stays = [wax for wax in flask.waxes if wax.key not in tags]
    left = _laid_out(standing, flask.label, flask.size, [wax.key for wax in stays], flask.spots)
    new = _laid_out(standing, label, size, tags, {})
    flasks = (*(left if one.label == flask.label else one for one in standing.flasks), new)
    held = {**standing.held, **dict.fromkeys(tags, label)}
    figures = {"tags": ", ".join(tags), "from": flask.label, "to": label}
    return Moved(flasks, _without(standing.kept, tags), held, figures)


def _laid_out(
    standing: Standing, label: str, size: str, keys: Sequence[str], spots: Mapping[str, Place]
) -> PlacedFlask:
    """A flask of these waxes: on the spots given where each has one and more than one stands in it, else laid out."""
    if len(keys) > 1 and set(keys) <= spots.keys():
        return PlacedFlask(label, size, tuple(PlacedWax(key, spots[key]) for key in keys))
    places = fit(standing.board, frozenset(keys), size)
    if places is None:
        words = {"tags": ", ".join(sorted(keys)), "label": label}
        raise NotPlanned(_("No layout was found for %(tags)s in %(label)s. Nothing was changed.") % words)
    return PlacedFlask(label, size, tuple(PlacedWax(key, places[key]) for key in sorted(keys)))


def _size(standing: Standing, move: Move) -> Moved:
    """Give a flask another size: its waxes stay on their spots if it is no narrower."""
    flask = standing.open_flask(move.label)
    sizes = {size.key: size for size in standing.day.day.flask_sizes}
    if move.size not in sizes or move.size == flask.size:
        raise NotPlanned(_("Choose another size for %(label)s.") % {"label": move.label})
    wider = flask.size in sizes and sizes[move.size].diameter_mm >= sizes[flask.size].diameter_mm
    same_mount = flask.size in sizes and sizes[move.size].mount == sizes[flask.size].mount
    spots = flask.spots if wider and same_mount and sizes[move.size].trunk_mm is None else {}
    new = _laid_out(standing, flask.label, move.size, [wax.key for wax in flask.waxes], spots)
    flasks = tuple(new if one.label == flask.label else one for one in standing.flasks)
    return Moved(flasks, standing.kept, standing.held, {"label": flask.label, "size": move.size})


def _join(standing: Standing, move: Move) -> Moved:
    """Put all waxes of one flask into another, in a size."""
    flask, other = standing.open_flask(move.label), standing.open_flask(move.other)
    if flask.label == other.label:
        raise NotPlanned(_("Choose another flask to join to %(label)s.") % {"label": flask.label})
    size = move.size or flask.size
    keys = [wax.key for wax in (*flask.waxes, *other.waxes)]
    if size == flask.size:
        for wax in other.waxes:
            refuse_by_rule(standing, wax.key, flask.label)
    new = _laid_out(standing, flask.label, size, keys, {})
    flasks = tuple(new if one.label == flask.label else one for one in standing.flasks if one.label != other.label)
    tags = [wax.key for wax in other.waxes]
    held = {tag: flask.label if tag in tags else label for tag, label in standing.held.items()}
    kept = replace(_without(standing.kept, keys), flasks=standing.kept.flasks - {other.label})
    return Moved(flasks, kept, held, {"label": flask.label, "other": other.label})


def refuse_by_rule(standing: Standing, tag: str, label: str) -> None:
    """Raise `NotPlanned` if a rule refuses the wax in the flask, whatever the layout."""
    if breaches := standing.board.breaches(tag, label):
        raise NotPlanned(in_one_line(breaches, tag, label, standing))


def _keep(standing: Standing, move: Move) -> Moved:
    """Keep a flask as it is, or a wax: on its spot if `other` says so, else in its flask."""
    if move.label:
        standing.open_flask(move.label)
        kept = replace(standing.kept, flasks=standing.kept.flasks | {move.label})
        return Moved(standing.flasks, kept, standing.held, {"label": move.label})
    label = standing.open_home(move.tag)
    if not label:
        raise NotPlanned(_("%(tag)s stands in no flask.") % {"tag": move.tag})
    spots = standing.kept.spots | ({move.tag} if move.other == "spot" else set())
    kept = replace(standing.kept, spots=spots)
    return Moved(standing.flasks, kept, {**standing.held, move.tag: label}, {"tag": move.tag})


def _let_go(standing: Standing, move: Move) -> Moved:
    """Let a flask or a wax go; with neither, all."""
    if move.label:
        kept = replace(standing.kept, flasks=standing.kept.flasks - {move.label})
        return Moved(standing.flasks, kept, standing.held, {"label": move.label})
    if not move.tag:
        return Moved(standing.flasks, Kept().with_accidents_of(standing.kept), {}, {"label": _("everything")})
    standing.home(move.tag)
    held = {tag: label for tag, label in standing.held.items() if tag != move.tag}
    return Moved(standing.flasks, _without(standing.kept, [move.tag]), held, {"tag": move.tag})


def _fill(standing: Standing, move: Move) -> Moved:
    """Put waxes that wait into a flask while it takes them and the others stay where they are, first pieces first."""
    standing.open_flask(move.label)
    inside = {key for flask in standing.flasks for key in flask.keys}
    waiting = [wax for wax in standing.day.day.waxes if wax.key not in inside and wax.key not in standing.kept.out]
    waiting.sort(key=lambda wax: (wax.piece, -wax.width_mm * wax.depth_mm, wax.key))
    flasks, held, added = standing.flasks, dict(standing.held), []
    for wax in waiting:
        board = Board(standing.day.day, flasks)
        answer = next(one for one in board.answers(wax.key) if one.label == move.label)
        landing = put_down(board, wax.key, move.label, answer.spot) if answer.verdict == Verdict.TAKES else None
        if landing is not None:
            flasks, held[wax.key] = landing.flasks, move.label
            added.append(wax.key)
    if not added:
        raise NotPlanned(_("%(label)s takes none of the waxes that wait.") % {"label": move.label})
    return Moved(flasks, standing.kept, held, {"label": move.label, "tags": ", ".join(added)})


def _anew(standing: Standing, move: Move) -> Moved:
    """Lay a flask out as the program would, wherever its waxes stand now; their spots are let go."""
    flask = standing.open_flask(move.label)
    new = _laid_out(standing, flask.label, flask.size, sorted(flask.keys), {})
    if new.spots == flask.spots:
        raise NotPlanned(_("The waxes of %(label)s stand as the computer would set them.") % {"label": flask.label})
    flasks = tuple(new if one.label == flask.label else one for one in standing.flasks)
    return Moved(flasks, _without(standing.kept, sorted(flask.keys)), standing.held, {"label": flask.label})


MOVES: Mapping[str, Callable[[Standing, Move], Moved]] = {
    "carry": _carry,
    "spot": _to_spot,
    "turn": _to_spot,
    "nudge": _to_spot,
    "out": _out,
    "back": _back,
    "swap": _swap,
    "split": _split,
    "size": _size,
    "join": _join,
    "keep": _keep,
    "let_go": _let_go,
    "fill": _fill,
    "anew": _anew,
}
KEEPS_PLAN = ("keep", "let_go", "back")
"""Moves after which every wax stands where it stood: the plan is the same."""
