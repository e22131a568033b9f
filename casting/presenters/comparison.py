"""A plan compared with the previous one: which waxes moved and why; and what single changes would save."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.utils.translation import gettext as _

from casting.calc.advice.plan_diff import Move, PlannedDay, moves
from casting.calc.advice.savings import ChangeKind, metal_more
from casting.calc.values.day_input import DayInput, Previous
from casting.dayfile import read_kept
from casting.models import Plan
from casting.presenters.formats import money
from casting.presenters.lengths import flask_size, length
from casting.presenters.opened_plan import OpenedPlan, names_of
from casting.presenters.plan_sheet import WaxName
from casting.selectors.searches import SearchStatus, found_by


@dataclass(frozen=True, slots=True)
class MoveLine:
    """A wax that moved, by name."""

    name: WaxName
    move: Move


@dataclass(frozen=True, slots=True)
class Saving:
    """A change that saves a flask and its effect, in words."""

    change: str
    effect: str


@dataclass(frozen=True, slots=True)
class Savings:
    """The results of a search for changes that save a flask of a plan; `search` is None if none was started."""

    search: SearchStatus | None
    passed: int = 0
    of: int = 0
    ruled_out: int = 0
    planned: int = 0
    done: bool = False
    saves: tuple[Saving, ...] = ()

    @property
    def untried(self) -> int:
        """Changes neither ruled out nor planned."""
        return self.of - self.ruled_out - self.planned

    @property
    def tried(self) -> int:
        """Changes ruled out or planned."""
        return self.ruled_out + self.planned


def moved_in(opened: OpenedPlan) -> tuple[MoveLine, ...]:
    """The waxes that changed flask since the previous revision, with the reason. One query, two if any moved."""
    plan = opened.plan
    if plan.revision == 1:
        return ()
    before = Plan.objects.filter(day=plan.day, revision=plan.revision - 1).first()
    if before is None:
        return ()
    found = moves(_planned(before, read_kept(before.day_file).day), _planned(plan, opened.day.day))
    names = names_of(plan.day) if found else {}
    return tuple(MoveLine(names.get(move.key, WaxName(move.key, "", "")), move) for move in found)


def _planned(plan: Plan, day: DayInput) -> PlannedDay:
    file = plan.file
    flasks = {
        flask["label"]: Previous(flask["size"], tuple(wax["key"] for wax in flask["waxes"])) for flask in file["flasks"]
    }
    return PlannedDay(day, flasks, file["totals"]["cost"])


def savings_of(opened: OpenedPlan, search: SearchStatus | None) -> Savings:
    """The results of `search`, if it is for this plan."""
    if search is None or search.row.plan != opened.plan:
        return Savings(None)
    lines = [search.row.found] if search.row.found else found_by(search.row)
    if not lines:
        return Savings(search)
    last: dict[str, Any] = json.loads(lines[-1])
    saves = tuple(Saving(_change(one, opened), _effect(one, opened)) for one in last["saves"])
    counts = {key: last[key] for key in ("passed", "of", "ruled_out", "planned", "done")}
    return Savings(search, **counts, saves=saves)


def _change(one: Mapping[str, Any], opened: OpenedPlan) -> str:
    """A change in words."""
    day = opened.sheet.day
    if one["kind"] == ChangeKind.FLASK:
        return _("One more flask %(size)s") % {"size": flask_size(day.size(one["what"]), opened.units)}
    if one["kind"] == ChangeKind.CRUCIBLE:
        words = {"larger": f"{one['by']:g}", "now": f"{day.rules.crucible_ml:g}"}
        return _("A crucible of %(larger)s ml instead of %(now)s ml") % words
    wax = _wax(one["what"], opened)
    if one["kind"] == ChangeKind.SPRUE:
        return _("The sprue of %(wax)s cut by %(by)s") % {"wax": wax, "by": length(one["by"], opened.units)}
    now, to = day.alloys[day.wax(one["what"]).alloy].name, day.alloys[one["to"]].name
    return _("%(wax)s in %(to)s instead of %(now)s") % {"wax": wax, "to": to, "now": now}


def _wax(key: str, opened: OpenedPlan) -> str:
    """A wax by its tag, its student and its piece."""
    stands = (on_base.name for flask in opened.sheet.flasks for on_base in flask.waxes)
    outside = (left.name for left in opened.sheet.left_out)
    name = next((name for name in (*stands, *outside) if name.tag == key), WaxName(key, "", ""))
    called = ", ".join(word for word in (name.student, name.piece) if word)
    return f"{name.tag} ({called})" if called else name.tag


def _effect(one: Mapping[str, Any], opened: OpenedPlan) -> str:
    """The effect of a change: the changed day's plan compared with this one."""
    sheet = opened.sheet
    parts = [_("%(fewer)s flasks instead of %(now)s") % {"fewer": one["flasks"], "now": len(sheet.flasks)}]
    if one["flasks"] == 1:
        parts = [_("1 flask instead of %(now)s") % {"now": len(sheet.flasks)}]
    last = max(flask.out_at for flask in sheet.flasks)
    earlier = (last - datetime.fromisoformat(one["last_pour_at"])) // timedelta(minutes=1)
    if earlier > 0:
        parts.append(_("the last pour %(minutes)s min earlier") % {"minutes": earlier})
    elif earlier < 0:
        parts.append(_("the last pour %(minutes)s min later") % {"minutes": -earlier})
    if one["left_out"] < len(sheet.left_out):
        parts.append(
            _("%(fewer)s left out instead of %(now)s") % {"fewer": one["left_out"], "now": len(sheet.left_out)}
        )
    if one["kind"] != ChangeKind.METAL:
        words = {"new": money(one["cost"], opened.school), "now": money(sheet.totals["cost"], opened.school)}
        parts.append(_("powder and buttons cost %(new)s instead of %(now)s") % words)
    else:
        parts.append(_metal(one, opened))
    return ", ".join(parts)


def _metal(one: Mapping[str, Any], opened: OpenedPlan) -> str:
    """What the piece's own metal costs more or less in the other alloy."""
    more = metal_more(opened.sheet.day, one["what"], one["to"])
    if more is None:
        return _("what its metal costs is not recorded")
    words = _("its metal costs %(price)s more") if more > 0 else _("its metal costs %(price)s less")
    return words % {"price": money(abs(more), opened.school)}
