"""The nearest changes of a day that cannot work, each with its figures and the day's form filled in for it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from casting.models import CastingDay, Plan, Search
from casting.presenters.formats import day_clock, stamp
from casting.selectors.searches import SearchStatus
from casting.worker.nearest import What


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
    if aside["aside"] != "nearest" or _when(aside) != _when(day.to_day()):
        return None
    changes = tuple(_change(offer, day) for offer in aside["offers"])
    before = _before(day, plan) if status.row.state == Search.State.FAILED else None
    return Nearest(changes, before)


def _when(values: Mapping[str, Any]) -> tuple[datetime, dict[str, Any]]:
    return datetime.fromisoformat(values["pour_at"]), values.get("hours") or {}


def _change(offer: Mapping[str, Any], day: CastingDay) -> NearestChange:
    at = {name: datetime.fromisoformat(text) for name, text in offer.items() if name.endswith("_at") and text}
    figures = [
        (_("hand-in closes %(at)s"), "hand_in_closes_at"),
        (_("kiln on %(at)s"), "kiln_on_at"),
        (_("last pour %(at)s"), "last_pour_at"),
        (_("last quench %(at)s"), "last_quench_at"),
    ]
    told = [words % {"at": day_clock(at[name])} for words, name in figures if name in at]
    if out := offer["left_out"]:
        told.append(ngettext("%(out)s wax left out", "%(out)s waxes left out", out) % {"out": out})
    what, value = What(offer["what"]), offer["value"]
    words = {
        What.UNTIL: _("Take waxes until %(value)s only"),
        What.CLOSES: _("Studio open until %(value)s"),
        What.OPENS: _("Studio open from %(value)s"),
        What.HANDS: _("%(value)s pairs of hands for mounting"),
    }
    if what is What.POUR:
        said = _("First pour %(at)s") % {"at": stamp(at["pour_at"])}
        return NearestChange(said, tuple(told), urlencode(_pour_fields(at["pour_at"], day)))
    query = "" if what is What.HANDS else urlencode({what.value: value})
    return NearestChange(words[what] % {"value": value}, tuple(told), query)


def _before(day: CastingDay, plan: Plan | None) -> NearestChange | None:
    """How the day was when its last plan was made, if it has been changed since."""
    if plan is None or _when(plan.day_values) == _when(day.to_day()):
        return None
    pour_at, hours = _when(plan.day_values)
    said = _("Revision %(revision)s was planned for a first pour %(at)s") % {
        "revision": plan.revision,
        "at": stamp(pour_at),
    }
    told = []
    if hours:
        told.append(_("studio %(opens)s to %(closes)s") % {"opens": hours["opens"], "closes": hours["closes"]})
    fields = _pour_fields(pour_at, day) | {name: hours.get(name) or "" for name in ("opens", "closes", "hand_in_until")}
    return NearestChange(said, tuple(told), urlencode(fields))


def _pour_fields(at: datetime, day: CastingDay) -> dict[str, str]:
    local = at.astimezone(day.course.school.tz)
    return {"pour_on": f"{local:%Y-%m-%d}", "pour_time": f"{local:%H:%M}"}
