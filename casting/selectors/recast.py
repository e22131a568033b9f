"""The pieces that are cast again: of a school, and the days on which a place can be kept for them. Reads only."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping

from django.utils import timezone

from casting.calc.values.mishap import Fate
from casting.models import CastingDay, PieceDefect, Plan, Recast, Wax
from casting.selectors.account.flasks import booked_flasks
from casting.selectors.flasks import flask_of
from school.models import Person


def recast_of(person: Person, day: CastingDay | None = None) -> list[Recast]:
    """Return the pieces of the person's school, or of one day, that are or may be cast again, in turn. One query."""
    rows = Recast.objects.of(person).exclude(fate=Fate.USABLE).filter(wax__day__course__is_rehearsal=False)
    return list((Recast.objects.of(person).filter(wax__day=day) if day else rows).in_turn())


def open_days_of(rows: Iterable[Recast]) -> dict[int, list[CastingDay]]:
    """Return the days that take waxes, by class, the next first; a student hands in on the days of their class."""
    courses = {row.wax.student.course_id for row in rows}
    now = timezone.now()
    ahead = CastingDay.objects.filter(course__in=courses, pour_at__gt=now).select_related("course__school")
    found: dict[int, list[CastingDay]] = defaultdict(list)
    for day in ahead.order_by("pour_at", "pk"):
        if day.hand_in_open(now):
            found[day.course_id].append(day)
    return found


def handed_in_again(rows: Iterable[Recast]) -> Mapping[int, Wax]:
    """Return the new wax of each piece that has one: of its student, by the same name, on the day with its place.

    Two pieces of one name have two waxes, the first in turn the first. One query.
    """
    placed = [row for row in rows if row.next_day_id is not None]
    days = {row.next_day_id for row in placed}
    waxes = list(Wax.objects.filter(day__in=days, withdrawn_at__isnull=True).order_by("pk")) if days else []
    found: dict[int, Wax] = {}
    for row in placed:
        same = (row.next_day_id, row.wax.student_id, row.wax.what.casefold())
        wax = next((one for one in waxes if (one.day_id, one.student_id, one.what.casefold()) == same), None)
        if wax is not None:
            waxes.remove(wax)
            found[row.pk] = wax
    return found


def not_on_list(day: CastingDay) -> dict[Wax, str]:
    """Return the pieces of a day that did not come out or did not fill, and are not on the list, by tag: which of both.

    What a settled flask says stands before what somebody noted as a defect.
    """
    last = Plan.objects.latest_of(day)
    if last is None:
        return {}
    waxes = {wax.tag: wax for wax in day.waxes.standing().filter(recast=None)}
    unfilled = PieceDefect.objects.standing().filter(wax__day=day, kind=PieceDefect.Kind.INCOMPLETE)
    why = {one.wax.tag: "unfilled" for one in unfilled}
    for booked in booked_flasks(day).values():
        why |= dict.fromkeys(booked.not_cast, "not_cast")
    return {waxes[tag]: why[tag] for tag in sorted(why.keys() & waxes.keys() & flask_of(last).keys())}
