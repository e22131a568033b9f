"""What goes wrong on the bench, as moves on the board: the rest of the day stays as it stands. Writes nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from django.utils import timezone
from django.utils.translation import gettext as _

from casting.calc.advice.carrying import Answer, Board, Verdict
from casting.calc.advice.putting_down import put_down
from casting.calc.quantities.investment import powder_for, water_for
from casting.models.errors import NotPlanned
from casting.presenters.standing import Flasks, Standing
from casting.selectors.day_file import to_the_minute
from casting.services.board_moves import MOVES, Move, Moved, free_label, moved
from casting.services.board_tree import goes_on_tree, hung


def moved_or_met(standing: Standing, move: Move) -> Moved:
    """Return the board after a move or an accident. Raises `NotPlanned` with a sentence if it cannot be."""
    if move.do in ACCIDENTS:
        return ACCIDENTS[move.do](standing, move)
    return hung(standing, move) if goes_on_tree(standing, move) else moved(standing, move)


def _place(standing: Standing, _move: Move) -> Moved:
    """Find room for every wax that waits, as after a late hand-in: nobody moves for it."""
    inside = {key for flask in standing.flasks for key in flask.keys}
    waiting = [wax.key for wax in standing.day.day.waxes if wax.key not in inside | standing.kept.out]
    flasks, placed = _room_for(standing, waiting)
    if not placed:
        raise NotPlanned(_("No flask that stands here or empty takes a wax that waits."))
    return Moved(flasks, standing.kept, standing.held, {"tags": ", ".join(placed)}, _still_waiting(waiting, placed))


def _broke(standing: Standing, move: Move) -> Moved:
    """Leave a wax out that broke on the bench; its student reads why."""
    without = MOVES["out"](standing, move)
    return replace(without, kept=replace(without.kept, broken=without.kept.broken | {move.tag}))


def _withdraw(standing: Standing, move: Move) -> Moved:
    """Take out a wax that its student withdraws."""
    without = MOVES["out"](standing, move)
    return replace(without, kept=replace(without.kept, out=without.kept.out - {move.tag}))


def _leak(standing: Standing, move: Move) -> Moved:
    """Take a flask out of use that leaks or is broken, and find room for its waxes: first in another of its size."""
    flask = standing.open_flask(move.label)
    lost = {**standing.kept.lost, flask.size: standing.kept.lost.get(flask.size, 0) + 1}
    kept = replace(standing.kept, lost=lost, flasks=standing.kept.flasks - {flask.label})
    figures = {"label": flask.label, "size": flask.size}
    counts = {size.key: size.count for size in standing.day.day.flask_sizes}
    if counts.get(flask.size, 0) > sum(one.size == flask.size for one in standing.flasks):
        said = _("Another flask of its size takes its place, with the waxes as they stand.")
        return Moved(standing.flasks, kept, standing.held, figures, said)
    sizes = tuple(
        replace(size, count=size.count - 1) if size.key == flask.size else size for size in standing.day.day.flask_sizes
    )
    fewer = replace(standing.day, day=replace(standing.day.day, flask_sizes=sizes, placed=()))
    others = tuple(one for one in standing.flasks if one.label != flask.label)
    held = {tag: label for tag, label in standing.held.items() if label != flask.label}
    flasks, placed = _room_for(replace(standing, day=fewer, flasks=others, held=held), flask.keys)
    kept = replace(kept, spots=kept.spots.difference(flask.keys))
    return Moved(flasks, kept, held, figures, _still_waiting(flask.keys, placed))


def _spill(standing: Standing, move: Move) -> Moved:
    """Note that the bowl of a flask spilled before it was filled: its powder is used up, and it is mixed anew."""
    flask, on_bench = standing.open_flask(move.label), standing.day.day.fixed
    bowl = next((one for one in standing.bowls if flask.label in one["flasks"]), None)
    if bowl is None:
        raise NotPlanned(_("The plan has no bowl for flask %(label)s. Make the plan again.") % {"label": flask.label})
    sizes = {one.label: standing.day.day.size(one.size) for one in standing.flasks}
    filled_g = sum(powder_for(sizes[one], standing.day.day.investment) for one in bowl["flasks"] if one in on_bench)
    left_g = bowl["powder_g"] - filled_g
    spill = {
        "flasks": [one for one in bowl["flasks"] if one not in on_bench],
        "at": to_the_minute(timezone.now(), standing.day.zone),
        "powder_g": left_g,
        "water_g": round(water_for(left_g, standing.day.day.investment), 1),
    }
    kept = replace(standing.kept, spilled=(*standing.kept.spilled, spill))
    return Moved(standing.flasks, kept, standing.held, {"label": flask.label, "tags": ", ".join(spill["flasks"])})


def _room_for(standing: Standing, tags: Iterable[str]) -> tuple[Flasks, list[str]]:
    """Put each wax where it costs least while the others stay: the flasks then, and who found room."""
    flasks, placed = standing.flasks, []
    for tag in tags:
        board = Board(standing.day.day, flasks)
        takes = [one for one in board.answers(tag) if one.verdict == Verdict.TAKES]
        for answer in sorted(takes, key=_dearness):
            label = answer.label or free_label(replace(standing, flasks=flasks))
            landing = put_down(board, tag, label, answer.spot if answer.label else None, answer.size)
            if landing is not None:
                flasks = landing.flasks
                placed.append(tag)
                break
    return flasks, placed


def _dearness(answer: Answer) -> tuple[bool, float]:
    """A flask that stands before an empty one, and of each kind the cheapest first."""
    return not answer.label, answer.price.more.cost if answer.price else 0.0


def _still_waiting(tags: Iterable[str], placed: Iterable[str]) -> str:
    """Who found no room, in a sentence; empty if all did."""
    waits = ", ".join(sorted(set(tags) - set(placed)))
    return _("No room was found for %(tags)s, which still stands beside the board.") % {"tags": waits} if waits else ""


ACCIDENTS: Mapping[str, Callable[[Standing, Move], Moved]] = {
    "place": _place,
    "broke": _broke,
    "withdraw": _withdraw,
    "leak": _leak,
    "spill": _spill,
}
