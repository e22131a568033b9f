"""Differences between two plans: the waxes that changed flask, each with a reason that plans and days show."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace

from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.quantities.charge import charge_limit
from casting.calc.values.day_input import DayInput, Previous, Wax
from casting.calc.values.enums import Aim
from casting.calc.values.marked_text import named
from casting.calc.values.tolerances import CENT, SLACK

WORDS = {
    "alloy": "metal",
    "pattern": "material",
    "wax_g": "weight",
    "width_mm": "width",
    "depth_mm": "depth",
    "height_mm": "height",
    "section": "thinnest part",
    "owner": "owner of its metal",
    "sprue_g": "sprue",
    "sprue_pattern": "material of its sprue",
}
"""The fields of a wax that decide which flasks take it, in a teacher's words."""


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
        return f"You put it into {new}."
    if after.day.held.get(key) == new and before.day.held.get(key) != new:
        return f"You kept it in {new}."
    if changed:
        return f"Its {' and '.join(changed)} changed."
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
        return f"Its flask {label} was of size {size}, which the school no longer has."
    of_size = sum(other.size == flask.size for other in before.flasks.values())
    stock = sizes[flask.size].count
    if stock < of_size:
        size = named(sizes[flask.size].called)
        return f"The school has only {stock} of size {size} now; the plan before used {of_size}."
    changed = [key for key in still if _changed(before.day.wax(key), day.wax(key))]
    if changed and not _share(day, still, flask.size):
        return f"{_listed(changed)} changed, and what was in {label} can no longer share it."
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
        return f"What was in {label} takes {charge_g:.1f} g; one melt takes {limit_g:.1f} g now."
    return f"The house rules changed, and what was in {label} can no longer share it."


def _made_room(before: PlannedDay, after: PlannedDay, old: str, new: str) -> str:
    """The waxes new in the old flask that were in none before, or that were withdrawn from the new flask."""
    had = {key for flask in before.flasks.values() for key in flask.waxes}
    if old in after.flasks:
        came = sorted(set(after.flasks[old].waxes) - had)
        if came:
            return f"Moved to make room for {_listed(came)}, new in {old}."
    if new in before.flasks:
        there = {wax.key for wax in after.day.waxes}
        gone = sorted(set(before.flasks[new].waxes) - there)
        if gone:
            return f"{_listed(gone)} {'was' if len(gone) == 1 else 'were'} withdrawn from {new}."
    return ""


def _kept_elsewhere(before: PlannedDay, after: PlannedDay, old: str) -> str:
    """Which waxes the teacher newly put or kept in a flask, those in the old flask first."""
    for verb, was, now in (
        ("put into", _put_anew(before), _placed(after.day)),
        ("kept in", before.day.held, after.day.held),
    ):
        anew = {key: label for key, label in now.items() if was.get(key) != label}
        here = sorted(key for key, label in anew.items() if label == old)
        if here:
            return f"Moved to make room for {_listed(here)}, which you {verb} {old}."
        others = [f"{key} {verb.split()[1]} {label}" for key, label in sorted(anew.items())]
        if others:
            return f"Moved because you {verb.split()[0]} {_listed(others)}."
    return ""


def _put_anew(before: PlannedDay) -> dict[str, str]:
    """Where waxes were: a wax that was put where it stood already has not been put anew."""
    return {key: label for label, flask in before.flasks.items() for key in flask.waxes}


def _saved(before: PlannedDay, after: PlannedDay, old: str) -> str:
    """What the whole plan gains; its cost only if both plans have the same waxes."""
    gone = f"Flask {old} is gone: " if old not in after.flasks else ""
    less = len(before.flasks) - len(after.flasks)
    if less > 0:
        now = len(after.flasks)
        return f"{gone}{now} {'flask' if now == 1 else 'flasks'} instead of {len(before.flasks)}."
    waxes = [sorted(key for flask in plan.flasks.values() for key in flask.waxes) for plan in (before, after)]
    if waxes[0] == waxes[1] and after.cost < before.cost - CENT / 2:
        aim = "with as many flasks" if after.day.rules.aim is Aim.FEWEST_POURS else "in all"
        by = "Powder, buttons and mixed thicknesses come to"
        return f"{gone}{by} {after.cost:.2f} instead of {before.cost:.2f}, {aim}."
    if gone:
        return f"Flask {old} is gone from the plan."
    return "Moved when the whole day was planned again."


def _listed(keys: Sequence[str]) -> str:
    return keys[0] if len(keys) == 1 else f"{', '.join(keys[:-1])} and {keys[-1]}"
