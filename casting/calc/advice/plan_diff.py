"""Differences between two plans: the waxes that changed flask, each with a reason that plans and days show."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace

from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.quantities.charge import charge_limit
from casting.calc.values.day_input import DayInput, Previous, Wax
from casting.calc.values.enums import Aim
from casting.calc.values.marked_text import named
from casting.calc.values.sentence import Sentence, and_again, say, words
from casting.calc.values.tolerances import CENT, SLACK

WORDS = {
    "alloy": say("metal"),
    "pattern": say("material"),
    "wax_g": say("weight"),
    "width_mm": say("width"),
    "depth_mm": say("depth"),
    "height_mm": say("height"),
    "section": say("thinnest part"),
    "owner": say("owner of its metal"),
    "sprue_g": say("sprue"),
    "sprue_pattern": say("material of its sprue"),
}
"""The fields of a wax that decide which flasks take it, in a teacher's words."""

PUT = (
    words("Moved to make room for {waxes}, which you put into {flask}."),
    words("Moved because you put {waxes}."),
    words("{wax} into {flask}"),
)
KEPT = (
    words("Moved to make room for {waxes}, which you kept in {flask}."),
    words("Moved because you kept {waxes}."),
    words("{wax} in {flask}"),
)
"""What the teacher put or kept, and what it moved: out of the flask itself, elsewhere, and each wax with its flask."""


@dataclass(frozen=True, slots=True)
class PlannedDay:
    """A day with its plan: flasks by label, and the cost [currency]."""

    day: DayInput
    flasks: Mapping[str, Previous]
    cost: float


@dataclass(frozen=True, slots=True)
class Move:
    """A wax that changed flask, from `old` to `new`, and why."""

    key: str
    old: str
    new: str
    why: str


def moves(before: PlannedDay, after: PlannedDay) -> tuple[Move, ...]:
    """Return the waxes that changed flask, each with the first reason that is true of it.

    Parameters
    ----------
    before, after : PlannedDay
        The old plan and the new one.

    Returns
    -------
    tuple of Move
        Sorted by wax; new, withdrawn and left-out waxes are not among them. If nothing in the two
        plans shows a cause, the reason says so.
    """
    was = {key: label for label, flask in before.flasks.items() for key in flask.waxes}
    now = {key: label for label, flask in after.flasks.items() for key in flask.waxes}
    moved = sorted(key for key in now if was.get(key, now[key]) != now[key])
    return tuple(Move(key, was[key], now[key], _why(before, after, key, was[key], now[key])) for key in moved)


def _why(before: PlannedDay, after: PlannedDay, key: str, old: str, new: str) -> str:
    wax = after.day.wax(key)
    changed = [WORDS[name] for name in _changed(before.day.wax(key), wax)]
    if _placed(after.day).get(key) == new and _placed(before.day).get(key) != new:
        return say("You put it into {flask}.", flask=new)
    if after.day.held.get(key) == new and before.day.held.get(key) != new:
        return say("You kept it in {flask}.", flask=new)
    if changed:
        return say("Its {figures} changed.", figures=and_again(changed))
    return (
        _flask_cannot_stay(before, after, old)
        or _made_room(before, after, old, new)
        or _kept_elsewhere(before, after, old)
        or _saved(before, after, old)
    )


def _placed(day: DayInput) -> dict[str, str]:
    """The flask into which the teacher put each wax."""
    return {key: flask.label for flask in day.placed for key in flask.keys}


def _changed(old: Wax, new: Wax) -> list[str]:
    names = [field.name for field in fields(Wax) if field.name in WORDS]
    return [name for name in names if getattr(old, name) != getattr(new, name)]


def _flask_cannot_stay(before: PlannedDay, after: PlannedDay, label: str) -> str:
    """Why the old flask could not be kept with those of its waxes that the day still has."""
    flask, day = before.flasks[label], after.day
    sizes = {size.key: size for size in day.flask_sizes}
    still = [key for key in flask.waxes if key in {wax.key for wax in day.waxes}]
    if flask.size not in sizes:
        size = named(before.day.size(flask.size).called)
        return say("Its flask {flask} was of size {size}, which the school no longer has.", flask=label, size=size)
    of_size = sum(other.size == flask.size for other in before.flasks.values())
    stock = sizes[flask.size].count
    if stock < of_size:
        size = named(sizes[flask.size].called)
        words = "The school has only {stock} of size {size} now; the plan before used {before}."
        return say(words, stock=stock, size=size, before=of_size)
    changed = [key for key in still if _changed(before.day.wax(key), day.wax(key))]
    if changed and not _share(day, still, flask.size):
        words = "{waxes} changed, and what was in {flask} can no longer share it."
        return say(words, waxes=changed, flask=label)
    if _share(before.day, still, flask.size) and not _share(day, still, flask.size):
        return _over_the_melt(before.day, day, still, flask.size, label)
    return ""


def _share(day: DayInput, keys: Sequence[str], size: str) -> bool:
    """Whether these waxes may share a flask by the rules of a day, whatever their layout."""
    return bool(keys) and FlaskRules(replace(day, previous={}, held={})).allows(frozenset(keys), size)


def _over_the_melt(old: DayInput, new: DayInput, keys: Sequence[str], size: str, label: str) -> str:
    alloy = new.alloys[new.wax(keys[0]).alloy]
    charge_g, limit_g = FlaskRules(new).charge_g(keys, size), charge_limit(alloy, new.rules)
    if charge_g > limit_g + SLACK and charge_limit(old.alloys[alloy.key], old.rules) > limit_g:
        words = "What was in {flask} takes {charge_g:.1f} g; one melt takes {limit_g:.1f} g now."
        return say(words, flask=label, charge_g=charge_g, limit_g=limit_g)
    return say("The house rules changed, and what was in {flask} can no longer share it.", flask=label)


def _made_room(before: PlannedDay, after: PlannedDay, old: str, new: str) -> str:
    """The waxes new in the old flask that were in none before, or that were withdrawn from the new flask."""
    had = {key for flask in before.flasks.values() for key in flask.waxes}
    if old in after.flasks:
        came = sorted(set(after.flasks[old].waxes) - had)
        if came:
            return say("Moved to make room for {waxes}, new in {flask}.", waxes=came, flask=old)
    if new in before.flasks:
        there = {wax.key for wax in after.day.waxes}
        gone = sorted(set(before.flasks[new].waxes) - there)
        if gone:
            words = "{waxes} was withdrawn from {flask}." if len(gone) == 1 else "{waxes} were withdrawn from {flask}."
            return say(words, waxes=gone, flask=new)
    return ""


def _kept_elsewhere(before: PlannedDay, after: PlannedDay, old: str) -> str:
    """Which waxes the teacher newly put or kept in a flask, those in the old flask first."""
    for was, now, room, because, each in (
        (_put_anew(before), _placed(after.day), *PUT),
        (before.day.held, after.day.held, *KEPT),
    ):
        anew = {key: label for key, label in now.items() if was.get(key) != label}
        here = sorted(key for key, label in anew.items() if label == old)
        if here:
            return Sentence(room, {"waxes": here, "flask": old})
        others = [Sentence(each, {"wax": key, "flask": label}) for key, label in sorted(anew.items())]
        if others:
            return Sentence(because, {"waxes": others})
    return ""


def _put_anew(before: PlannedDay) -> dict[str, str]:
    """Where waxes were: a wax that was put where it stood already has not been put anew."""
    return {key: label for label, flask in before.flasks.items() for key in flask.waxes}


def _saved(before: PlannedDay, after: PlannedDay, old: str) -> str:
    """What the whole plan gains; its cost only if both plans have the same waxes."""
    gone = say("Flask {flask} is gone: ", flask=old) if old not in after.flasks else ""
    less = len(before.flasks) - len(after.flasks)
    if less > 0:
        now = len(after.flasks)
        words = "{gone}1 flask instead of {before}." if now == 1 else "{gone}{now} flasks instead of {before}."
        return say(words, gone=gone, now=now, before=len(before.flasks))
    waxes = [sorted(key for flask in plan.flasks.values() for key in flask.waxes) for plan in (before, after)]
    if waxes[0] == waxes[1] and after.cost < before.cost - CENT / 2:
        aim = say("with as many flasks" if after.day.rules.aim is Aim.FEWEST_POURS else "in all")
        words = "{gone}Powder, buttons and mixed thicknesses come to {after:.2f} instead of {before:.2f}, {aim}."
        return say(words, gone=gone, after=after.cost, before=before.cost, aim=aim)
    if gone:
        return say("Flask {flask} is gone from the plan.", flask=old)
    return say("Moved when the whole day was planned again.")
