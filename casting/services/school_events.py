"""What the casting days do when something happens in a school: the school tells it by signals and knows no listener."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from typing import Any

from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.models import CastingDay, Wax, WaxChange
from casting.models.day import WaxQuerySet
from casting.services import photos, waxes
from casting.services.account.book import NotBooked
from casting.services.account.corrections import merge_accounts, undo_merge
from casting.services.stock import stock_school
from school.changing import same_clock
from school.models import Person, School, Student
from school.signals import (
    clock_kept,
    merge_undone,
    school_made,
    student_forgotten,
    student_leaves,
    student_merged,
    student_returns,
    zone_asked,
)
from school.students import Stays


def stock_new_school(school: School, **_signal: Any) -> None:
    """Stock a school that has just been made."""
    stock_school(school)


def days_ahead(school: School, **_signal: Any) -> list[tuple[str, dt.datetime]]:
    """Return the announced days that are not over: the class's name and the first pour."""
    days = CastingDay.objects.filter(course__school=school, course__is_rehearsal=False, pour_at__gt=timezone.now())
    return list(days.values_list("course__name", "pour_at"))


def keep_clock(school: School, before: zoneinfo.ZoneInfo, **_signal: Any) -> None:
    """Give the days ahead the same clock times in the school's new zone."""
    for day in CastingDay.objects.select_for_update().filter(course__school=school, pour_at__gt=timezone.now()):
        day.pour_at = same_clock(day.pour_at, before, school.tz)
        if day.hand_in_closes_at is not None:
            day.hand_in_closes_at = same_clock(day.hand_in_closes_at, before, school.tz)
        day.save(update_fields=["pour_at", "hand_in_closes_at"])


def withdraw_waxes(student: Student, by: Person, **_signal: Any) -> dict[str, list[int]]:
    """Withdraw the waxes of a student who leaves the class, and return them; an invested one keeps the student."""
    standing = list(_of_open_days(student).filter(withdrawn_at__isnull=True).select_related("day"))
    for day in {wax.day for wax in standing}:
        on_bench = waxes.invested(day)
        for wax in standing:
            if wax.day_id == day.pk and wax.tag in on_bench:
                sentence = _("%(name)s stays: wax %(tag)s is invested. Remove the student when it has been given back.")
                raise Stays(sentence % {"name": student.called, "tag": wax.tag})
    for wax in standing:
        waxes.withdraw(wax, by=by, version=wax.version)
    return {"waxes": [wax.pk for wax in standing]}


def _of_open_days(student: Student) -> WaxQuerySet:
    """The student's waxes of days that are neither cancelled nor closed: those others keep theirs."""
    waxes = Wax.objects.for_student(student)
    return waxes.filter(day__cancelled_at__isnull=True, day__ended_at__isnull=True)


def bring_waxes_back(student: Student, by: Person, moved: dict[str, list[int]], **_signal: Any) -> None:
    """Hand in again what was withdrawn as the student left."""
    for wax in _of_open_days(student).filter(pk__in=moved.get("waxes", []), withdrawn_at__isnull=False):
        waxes.bring_back(wax, by=by, version=wax.version)


def move_waxes(student: Student, into: Student, by: Person, **_signal: Any) -> dict[str, Any]:
    """Give the waxes of a student, withdrawn ones too, to the one whom they are merged into, and what stands to their
    name in the account; return both."""
    moved = list(Wax.objects.filter(student=student).order_by("pk").values_list("pk", flat=True))
    _give(moved, student, into, by)
    try:
        return {"waxes": moved, "account": merge_accounts(student, into, by=by)}
    except NotBooked as refusal:
        raise Stays(refusal.sentence) from refusal


def move_waxes_back(student: Student, into: Student, by: Person, moved: dict[str, Any], **_signal: Any) -> None:
    """Give the waxes back that moved with a merge."""
    _give(moved.get("waxes", []), into, student, by)
    try:
        undo_merge(student, into, moved.get("account", {}), by=by)
    except NotBooked as refusal:
        raise Stays(refusal.sentence) from refusal


def forget_student(student: Student, names: set[str], **_signal: Any) -> None:
    """Take a student's photos and notes away, and their names out of what is noted of their waxes: who gave one to
    whom at a merge."""
    photos.forget_photos(student)
    Wax.objects.filter(student=student).exclude(note="").update(note="")
    for change in WaxChange.objects.filter(wax__student=student):
        before, after = (_forgotten(said, student, names) for said in (change.before, change.after))
        if (before, after) != (change.before, change.after):
            change.before, change.after = before, after
            change.save(update_fields=["before", "after"])


def _forgotten(said: dict[str, Any] | None, student: Student, names: set[str]) -> dict[str, Any] | None:
    if said is None:
        return None
    named = {"student": student.called} if said.get("student") in names else {}
    return said | named | ({"note": ""} if said.get("note") else {})


def _give(pks: list[int], giver: Student, taker: Student, by: Person) -> None:
    given = Wax.objects.select_for_update().filter(pk__in=pks, student=giver)
    rows = [
        WaxChange(wax=wax, by_person=by, before={"student": giver.called}, after={"student": taker.called})
        for wax in given
    ]
    given.update(student=taker, version=F("version") + 1)
    WaxChange.objects.bulk_create(rows)


def listen() -> None:
    """Connect the casting days to what happens in a school."""
    school_made.connect(stock_new_school, dispatch_uid="stock_new_school")
    zone_asked.connect(days_ahead, dispatch_uid="days_ahead")
    student_leaves.connect(withdraw_waxes, dispatch_uid="withdraw_waxes")
    student_returns.connect(bring_waxes_back, dispatch_uid="bring_waxes_back")
    student_merged.connect(move_waxes, dispatch_uid="move_waxes")
    merge_undone.connect(move_waxes_back, dispatch_uid="move_waxes_back")
    student_forgotten.connect(forget_student, dispatch_uid="forget_student")
    clock_kept.connect(keep_clock, dispatch_uid="keep_clock")
