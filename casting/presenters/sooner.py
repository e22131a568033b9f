"""Time beside cost: the cheapest plan of a day and one that ends earlier, each with its figures in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from casting.presenters.formats import day_clock, money
from casting.presenters.opened_plan import OpenedPlan
from casting.selectors.searches import SearchStatus, sooner_in
from school.models import School


@dataclass(frozen=True, slots=True)
class PlanRow:
    """A plan's figures in words; empty for a step that it does not have."""

    name: str
    cost: str
    hand_in_closes: str
    kiln_on: str
    last_pour: str


@dataclass(frozen=True, slots=True)
class Sooner:
    """The two plans, and whether the one that ends earlier is taken."""

    rows: tuple[PlanRow, PlanRow]
    taken: bool


def sooner_of(opened: OpenedPlan, status: SearchStatus) -> Sooner | None:
    """What the last search found beside the cheapest plan, while one of the two is the day's plan and not outdated."""
    sooner, cheapest = sooner_in(status.row), status.row.plan
    if sooner is None or cheapest is None or opened.is_outdated:
        return None
    taken = opened.plan.file == sooner
    if not taken and opened.plan.pk != cheapest.pk:
        return None
    school = opened.plan.day.course.school
    return Sooner((_row(_("cheapest"), cheapest.file, school), _row(_("ends earlier"), sooner, school)), taken)


def _row(name: str, plan: Mapping[str, Any], school: School) -> PlanRow:
    def first(do: str) -> str:
        at = min((step["at"] for step in plan["steps"] if step["do"] == do), key=datetime.fromisoformat, default=None)
        return day_clock(datetime.fromisoformat(at)) if at else ""

    last_pour = datetime.fromisoformat(plan["totals"]["last_pour_at"])
    return PlanRow(
        name, money(plan["totals"]["cost"], school), first("hand_in_closes"), first("kiln_on"), day_clock(last_pour)
    )
