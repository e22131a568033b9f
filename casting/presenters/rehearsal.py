"""What a rehearsal comes to: its flasks and hours, its cautions, and what the invented class had to do without."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from casting.calc.values.enums import Do, Level
from casting.calc.values.marked_text import in_a_sentence
from casting.models import Alloy, CastingDay, PatternMaterial, Wax
from casting.presenters.opened_plan import OpenedPlan
from casting.selectors.rehearsal import invented_class


@dataclass(frozen=True, slots=True)
class Told:
    """The hours that a teacher asks for first, and how many cautions ask for an answer before the day."""

    kilns_on: list[tuple[str, datetime]]
    last_pour: datetime | None
    stops: int
    warnings: int


def told_of(opened: OpenedPlan) -> Told:
    """Return what a plan of the rehearsal comes to."""
    sheet = opened.sheet
    return Told(
        [(night.named, night.on_at) for night in sheet.kilns],
        max((step.at for step in sheet.steps_of(Do.POUR)), default=None),
        len(opened.held_back),
        sum(one.level is Level.WARN and one.asked_before and one.cleared_by is None for one in opened.cautions),
    )


def missed_by(day: CastingDay) -> list[str]:
    """Return a sentence for each thing that the invented class wants and the school does not work with.

    Three queries. What counts is what was worked with when the class was made.
    """
    waxes = {wax.what: wax for wax in Wax.objects.filter(day=day).select_related("alloy", "pattern")}
    names = {
        row.key: row.name
        for model in (Alloy, PatternMaterial)
        for row in model._default_manager.filter(school=day.course.school)
    }
    found = {}
    for wanted in (one for of_student in invented_class()["students"].values() for one in of_student):
        wax = waxes[wanted["what"]]
        for key, row in ((wanted["alloy"], wax.alloy), (wanted["pattern"], wax.pattern)):
            if row.key != key:
                found[key] = _("You do not work with %(missed)s. The class uses %(instead)s in its place.") % {
                    "missed": in_a_sentence(names.get(key, key)),
                    "instead": in_a_sentence(row.name),
                }
    return list(found.values())
