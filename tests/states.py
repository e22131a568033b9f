"""A school with a little of everything, and the same school with much of it."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.utils import timezone

from casting.models import Alloy, CastingDay, Flask, PieceDefect, Plan, Recast, StepRecord
from casting.services.flasks import fix_flask, hold_wax
from casting.services.photos import keep_photo
from casting.services.shelf import put_away
from casting.services.waxes import withdraw
from school.models import Role, Student
from school.students import remove
from school.team import invite
from tests.casting.account_days import an_entry
from tests.casting.past_days import earlier, poured
from tests.casting.planned import make_plan
from tests.casting_factories import DayFactory, handed_in
from tests.factories import CourseFactory, PersonFactory, StudentFactory
from tests.photos import photo

LONG = "Wrigglesworthington-Featherstonehaugh"
"""A name of one word that no narrow screen has room for."""


def rows_of(day: CastingDay, student: Student, teacher: Any) -> dict[str, Any]:
    """The arguments of every address, from a day with a wax of the student and a plan."""
    wax = day.waxes.filter(student=student).order_by("pk")[0]
    change = remove(teacher, StudentFactory(course=day.course).pk)
    rows: dict[str, Any] = {"day_id": day.pk, "wax_id": wax.pk, "course_id": day.course_id, "student_id": student.pk}
    rows |= {"entry_id": an_entry(day, teacher).pk}
    rows["defect_id"] = PieceDefect.objects.create(wax=wax, kind="rough", where="thin", by=teacher).pk
    rows["recast_id"] = Recast.objects.create(wax=wax, fate="again", at=timezone.now(), by=teacher).pk
    rows |= {"label": "A", "key": "mix", "which": "all", "code": day.course.code, "person_id": teacher.pk}
    return rows | {"invitation_id": invite(teacher, "Nadia Ferro", Role.HELPER)[0].pk, "change_id": change.pk}


def with_little(day: CastingDay, student: Student, teacher: Any) -> dict[str, Any]:
    """Give the day one of everything: a wax of the student, one taken back, an invested flask, two plans.

    Return the arguments of every address.
    """
    keep_photo(handed_in(day, student), photo())
    handed_in(day, StudentFactory(course=day.course), alloy=day.alloys.get(key="si-bronze"), note="no polish")
    taken_back(day, student, teacher)
    plan = make_plan(day, by=teacher)
    of_bronze = next(flask["label"] for flask in plan.file["flasks"] if flask["alloy"] == "si-bronze")
    fix_flask(day, of_bronze, Flask.State.INVESTED, by=teacher)
    make_plan(day, by=teacher)
    poured(earlier(day, 7, StudentFactory(course=day.course)), 6, of_bronze)
    return rows_of(day, student, teacher)


def taken_back(day: CastingDay, student: Student, teacher: Any) -> None:
    """A wax of the student, withdrawn again."""
    gone = handed_in(day, student, what="taken back")
    withdraw(gone, by=teacher, version=gone.version)


def with_much(day: CastingDay, student: Student, teacher: Any) -> Plan:
    """Give its school more of whatever it has: people, classes, days, waxes of each metal, changes, things put away."""
    school = day.course.school
    metals = list(day.alloys.order_by("pk"))
    for nth in range(9):
        owner = StudentFactory(course=day.course, called=f"{LONG} {nth}") if nth % 3 else student
        handed_in(day, owner, alloy=metals[nth % len(metals)], what=f"{LONG.lower()} {nth}")
    for nth in range(3):
        taken_back(day, student, teacher)
        invite(teacher, f"{LONG} {nth}", Role.HELPER)
        remove(teacher, StudentFactory(course=day.course).pk)
        PersonFactory(school=school, name=f"Nadia Ferro {nth}", role=Role.HELPER)
        course = CourseFactory(school=school, name=f"{LONG} class {nth}")
        handed_in(DayFactory(course=course), StudentFactory(course=course))
        DayFactory(course=day.course, pour_at=timezone.now() + dt.timedelta(days=40 + nth))
    for alloy in Alloy.objects.filter(school=school, offered=True).exclude(pk__in=[one.pk for one in metals])[:2]:
        put_away(alloy)
    hold_wax(day.waxes.standing().order_by("-pk")[0], "D", by=teacher)
    plan = make_plan(day, by=teacher)
    bench = set(day.flasks.exclude(state=Flask.State.PLANNED).values_list("label", flat=True))
    labels = [flask["label"] for flask in plan.file["flasks"]]
    last = next(label for label in labels if label not in bench)
    fix_flask(day, last, Flask.State.INVESTED, by=teacher)
    fix_flask(day, last, Flask.State.POURED, by=teacher, poured_at=timezone.now())
    poured(earlier(day, 14, StudentFactory(course=day.course)), 6, labels[0])
    assert len(labels) >= 3 and StepRecord.objects.filter(day=day).exists()
    return plan
