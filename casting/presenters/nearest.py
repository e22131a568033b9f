"""The nearest changes of a day that cannot work, each with its figures and the day's form filled in for it."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from casting.models import CastingDay, FlaskSize, Kiln, Plan, Search
from casting.models.errors import NotPlanned
from casting.models.shelf import ShelfRow
from casting.presenters.formats import day_clock, stamp
from casting.selectors.day_file import equipment_of, rules_of
from casting.selectors.searches import SearchStatus
from casting.worker.nearest import BENCH, What

EQUIPMENT: Mapping[str, tuple[type[ShelfRow], str, str]] = {
    What.SIZES: (FlaskSize, "all_sizes", "sizes_used"),
    What.KILNS: (Kiln, "all_kilns", "kilns_used"),
}
"""What of the equipment a day may use in part, with the fields of its form."""


@dataclass(frozen=True, slots=True)
class NearestChange:
    """A change in words, its figures in words, and what fills in the day's form; empty if no field there does it."""

    words: str
    figures: tuple[str, ...]
    query: str


@dataclass(frozen=True, slots=True)
class Nearest:
    """The changes that would work, and how the day was when its last plan was made, if it has been changed since."""

    changes: tuple[NearestChange, ...]
    before: NearestChange | None


def nearest_of(day: CastingDay, status: SearchStatus | None, plan: Plan | None) -> Nearest | None:
    """What the last search offers, as long as the day is what it was then; None if there is nothing to offer."""
    if status is None or status.row.goes_on or not status.row.found:
        return None
    aside = json.loads(status.row.found)
    if aside["aside"] != "nearest":
        return None
    try:
        now = _asked(day.to_day() | equipment_of(day, plan) | {"rules": rules_of(day)})
    except NotPlanned:
        return None
    if _asked(aside) != now:
        return None
    changes = tuple(_change(offer, day) for offer in aside["offers"])
    before = _before(day, plan, now) if status.row.state == Search.State.FAILED else None
    return Nearest(changes, before)


def _asked(values: Mapping[str, Any]) -> dict[str, Any]:
    """What a change may change, of a day file's values or of what a search said."""
    when = {"pour_at": datetime.fromisoformat(values["pour_at"]), "hours": values.get("hours") or {}}
    rules = values.get("rules") or {}
    bench = {what.value: rules.get(what.value) for what in BENCH}
    return when | {part: _keys(values.get(part, ())) for part in EQUIPMENT} | {"rules": bench}


def _keys(rows: Collection[Any]) -> list[str]:
    return [row["key"] if isinstance(row, Mapping) else row for row in rows]


def _change(offer: Mapping[str, Any], day: CastingDay) -> NearestChange:
    at = {name: datetime.fromisoformat(text) for name, text in offer.items() if name.endswith("_at") and text}
    what, value, told = What(offer["what"]), offer["value"], _figures(offer, at)
    words = {
        What.UNTIL: _("Take waxes until %(value)s only"),
        What.CLOSES: _("Studio open until %(value)s"),
        What.OPENS: _("Studio open from %(value)s"),
        What.HANDS: _("%(value)s pairs of hands for mounting"),
        What.TORCHES: _("%(value)s torches of the same heat, with somebody at each"),
        What.MELT_W: _("A stronger torch, with %(value)s W into the metal"),
        What.SIZES: _("Smaller flasks only: %(value)s"),
        What.KILNS: _("Use the kilns %(value)s"),
    }
    if what is What.POUR:
        said = _("First pour %(at)s") % {"at": stamp(at["pour_at"])}
        return NearestChange(said, told, urlencode(_pour_fields(at["pour_at"], day)))
    if what in EQUIPMENT:
        said = words[what] % {"value": ", ".join(_named(what, value, day))}
        return NearestChange(said, told, urlencode(_used_fields(what, value, day), doseq=True))
    said = words[what] % {"value": value}
    if "hands" in offer:
        said += " " + _("(%(hands)s pairs of hands)") % {"hands": offer["hands"]}
    hands = {"hands": offer["hands"]} if "hands" in offer else {}
    return NearestChange(said, told, urlencode({what.value: value} | hands))


def _figures(offer: Mapping[str, Any], at: Mapping[str, datetime]) -> tuple[str, ...]:
    """What a change comes to; with other equipment also how many flasks, and whether all waxes are in.

    Of torches the last pour stands beside the one without them.
    """
    was = ""
    if "last_pour_was_at" in at:
        was = _("last pour %(at)s instead of %(was)s") % {"at": "%(at)s", "was": day_clock(at["last_pour_was_at"])}
    figures = [
        (_("hand-in closes %(at)s"), "hand_in_closes_at"),
        (_("kiln on %(at)s"), "kiln_on_at"),
        (was or _("last pour %(at)s"), "last_pour_at"),
        (_("last quench %(at)s"), "last_quench_at"),
    ]
    told = [words % {"at": day_clock(at[name])} for words, name in figures if name in at]
    if offer["what"] in EQUIPMENT:
        told.append(ngettext("%(flasks)s flask", "%(flasks)s flasks", offer["flasks"]) % {"flasks": offer["flasks"]})
    if out := offer["left_out"]:
        told.append(ngettext("%(out)s wax left out", "%(out)s waxes left out", out) % {"out": out})
    elif offer["what"] == What.KILNS:
        told.append(_("no wax left out"))
    return tuple(told)


def _before(day: CastingDay, plan: Plan | None, now: Mapping[str, Any]) -> NearestChange | None:
    """How the day was when its last plan was made, if it has been changed since."""
    then = dict(_asked(plan.day_values)) if plan is not None else {}
    if plan is None or then | {"rules": now["rules"]} == now:
        return None
    hours = then["hours"]
    said = _("Revision %(revision)s was planned for a first pour %(at)s") % {
        "revision": plan.revision,
        "at": stamp(then["pour_at"]),
    }
    told = []
    if hours:
        told.append(_("studio %(opens)s to %(closes)s") % {"opens": hours["opens"], "closes": hours["closes"]})
    fields: dict[str, Any] = {**_pour_fields(then["pour_at"], day)}
    fields |= {name: hours.get(name) or "" for name in ("opens", "closes", "hand_in_until")}
    for part in EQUIPMENT:
        if then[part] != now[part]:
            told.append(_("with %(names)s") % {"names": ", ".join(_named(part, then[part], day))})
            fields |= _used_fields(part, then[part], day)
    return NearestChange(said, tuple(told), urlencode(fields, doseq=True))


def _named(part: str, keys: Collection[str], day: CastingDay) -> list[str]:
    """The names of a part of the equipment as the school gave them."""
    rows = EQUIPMENT[part][0].objects.filter(school=day.course.school, key__in=keys)
    return [row.name for row in rows]


def _used_fields(part: str, keys: Collection[str], day: CastingDay) -> dict[str, Any]:
    """The form's fields for a part of the equipment: all that the school works with, or those of it."""
    model, all_, some = EQUIPMENT[part]
    every = {row.key for row in model.objects.at(day.course.school)}
    return {all_: "on"} if every <= set(keys) else {some: list(keys)}


def _pour_fields(at: datetime, day: CastingDay) -> dict[str, str]:
    local = at.astimezone(day.course.school.tz)
    return {"pour_on": f"{local:%Y-%m-%d}", "pour_time": f"{local:%H:%M}"}
