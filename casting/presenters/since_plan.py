"""What has changed of a day's waxes since its plan was made: who, which wax and what, in sentences."""

from __future__ import annotations

from django.utils.translation import gettext as _

from casting.models import Plan, WaxChange
from casting.presenters.formats import day_clock, units_of
from casting.presenters.wax_history import history_of
from casting.selectors.shelf import names_of


def changes_since(plan: Plan) -> list[str]:
    """Return the last change of each wax that was changed since a plan, the latest last. Two queries."""
    rows = WaxChange.objects.filter(wax__day=plan.day, at__gt=plan.made_at).select_related(
        "wax__student", "by_person", "by_student"
    )
    last = {row.wax: row for row in rows if "held" not in row.after}
    school = plan.day.course.school
    names = names_of(school) if last else {}
    said = []
    for wax, row in last.items():
        for change in history_of([row], names, units_of(school)):
            words = {"tag": wax.tag, "whose": wax.student.called, "what": change.words, "who": change.who}
            words["at"] = day_clock(change.at.astimezone(school.tz))
            own = row.by_student_id == wax.student_id
            said.append(
                (
                    _("%(tag)s, %(whose)s: %(what)s, %(at)s")
                    if own
                    else _("%(tag)s, %(whose)s: %(what)s by %(who)s, %(at)s")
                )
                % words
            )
    return said
