"""A wax carried to a tier and a place of a tree by hand. Writes nothing."""

from __future__ import annotations

from dataclasses import replace

from django.utils.translation import gettext as _

from casting.calc.advice.carrying import laid_out, on_trunk
from casting.calc.advice.on_tree import Hung, at_clock, hang, in_tier
from casting.models.errors import NotPlanned
from casting.presenters.carrying_words import in_one_line
from casting.presenters.standing import Standing
from casting.services.board_moves import Move, Moved, moved_by, refuse_by_rule, refuse_if_kept

TO_A_SPOT = ("carry", "spot", "turn", "nudge")


def goes_on_tree(standing: Standing, move: Move) -> bool:
    """Tell whether a move says where on a tree a wax goes: its tier, or its place where it hangs already."""
    if move.do not in TO_A_SPOT:
        return False
    home = standing.home(move.tag)
    label = move.label if move.do == "carry" else home
    flask = next((one for one in standing.flasks if one.label == label), None)
    if flask is None or standing.board.rules.bases[flask.size].trunk is None:
        return False
    return bool(move.tier or (label == home and (move.spot or any(move.shift))))


def hung(standing: Standing, move: Move) -> Moved:
    """Return the board with a wax on a tree: exactly there, or refused with what is in the way."""
    tag, here = move.tag, standing.open_home(move.tag)
    flask = standing.open_flask(move.label if move.do == "carry" else here)
    if flask.label != here:
        refuse_by_rule(standing, tag, flask.label)
    place = _place(standing, move, flask.label)
    if place.breaches:
        raise NotPlanned(in_one_line(place.breaches, tag, flask.label, standing))
    lifted = [one for one in (standing.board.lift(tag) if here else standing.flasks) if one.label != flask.label]
    stands = {one.label: one for one in (*lifted, laid_out(flask, place.places))}
    flasks = tuple(stands[one.label] for one in standing.flasks if one.label in stands)
    before = on_trunk(flask.spots)
    shifted = [key for key, at in place.places.items() if key != tag and before[key] != at]
    refuse_if_kept(standing, shifted, tag, flask.label)
    kept = replace(standing.kept, spots=standing.kept.spots | {tag})
    figures = {"tag": tag, "from": here, "to": flask.label, "tier": place.places[tag].tier}
    return Moved(flasks, kept, {**standing.held, tag: flask.label}, figures)


def _place(standing: Standing, move: Move, label: str) -> Hung:
    """The tree with the wax where it is carried: on a spot, at an hour of a tier, or wherever a tier has room."""
    tag, rules, flask = move.tag, standing.board.rules, standing.flask(label)
    spots = on_trunk(flask.spots)
    now, others = spots.get(tag), {key: at for key, at in spots.items() if key != tag}
    tier = move.tier or (now.tier if now else 0)
    if spot := move.spot or (now if now and any(move.shift) else None):
        return hang(rules, others, tag, flask.size, tier, moved_by(spot, move.shift))
    if move.hour:
        tried = [
            hang(rules, others, tag, flask.size, tier, spot) for spot in at_clock(rules, tag, flask.size, move.hour)
        ]
        return next((one for one in tried if not one.breaches), tried[0])
    found = in_tier(rules, others, tag, flask.size, tier)
    if found is None:
        raise NotPlanned(_("No room was found for %(tag)s in that tier. Nothing was changed.") % {"tag": tag})
    return found
