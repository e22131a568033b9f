"""What a teacher does with the students of a class: removes, merges and renames them, and undoes it."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.contrib.auth.hashers import make_password
from django.db import transaction
from django.dispatch import Signal
from django.utils import timezone
from django.utils.translation import gettext as _

from school.models import Course, DemoLink, Person, Student, StudentChange
from school.names import name_key
from school.signals import merge_undone, student_forgotten, student_leaves, student_merged, student_returns

UNDO_FOR = dt.timedelta(days=1)


class Stays(Exception):
    """A student cannot be removed or merged, or a change no longer undone; the sentence says why."""

    @property
    def sentence(self) -> str:
        """Why not, and what to do."""
        return str(self.args[0])


@transaction.atomic
def remove(by: Person, student_id: int) -> StudentChange:
    """Remove a student of the teacher's school from their class. Raises `Stays`."""
    student = _locked(by, student_id)
    moved = _told(student_leaves, student=student, by=by)
    return _gone(by, student, None, moved)


@transaction.atomic
def merge(by: Person, student_id: int, into_id: int) -> StudentChange:
    """Merge a student into another of the same class, who gets everything of theirs. Raises `Stays`."""
    student, into = _locked(by, student_id), _locked(by, into_id)
    if student == into or student.course_id != into.course_id:
        raise Stays(_("Choose another student of the same class."))
    moved = _told(student_merged, student=student, into=into, by=by)
    if student.joined_at and not into.joined_at:
        # The roster's name takes over the code and phone of whoever joined under another.
        into.joined_at = student.joined_at
        into.save(update_fields=["joined_at"])
        moved["joined"] = True
    return _gone(by, student, into, moved)


@transaction.atomic
def undo(by: Person, change_id: int) -> StudentChange:
    """Undo a removal or a merge of the last day. Raises `Stays` if it is too late, or was undone already."""
    rows = StudentChange.objects.select_for_update(of=("self",)).select_related("student__course", "into")
    change = rows.get(school=by.school, pk=change_id)
    student, into = change.student, change.into
    if change.undone_at or change.at < timezone.now() - UNDO_FOR:
        raise Stays(_("This can no longer be undone: it was more than a day ago, or is undone already."))
    if student_named(student.course, student.called):
        raise Stays(_("Somebody else is now called %(name)s. Rename them first.") % {"name": student.called})
    student.removed_at, student.merged_into = None, None
    student.save(update_fields=["removed_at", "merged_into"])
    if into is None:
        student_returns.send(sender=Student, student=student, by=by, moved=change.moved)
    else:
        if change.moved.get("joined"):
            into.joined_at = None
            into.save(update_fields=["joined_at"])
        merge_undone.send(sender=Student, student=student, into=into, by=by, moved=change.moved)
    change.undone_at = timezone.now()
    change.save(update_fields=["undone_at"])
    return change


@transaction.atomic
def rename(by: Person, student_id: int, called: str, spelled: str) -> Student:
    """Write another name for a student. Raises `Stays` if somebody of the class has it."""
    student = _locked(by, student_id)
    if student.forgotten_at:
        raise Stays(_("This student took back their name, and it stays so."))
    other = student_named(student.course, called)
    if other and other != student:
        raise Stays(_("Somebody in this class is already called %(name)s.") % {"name": other.called})
    student.called, student.spelled = called, spelled
    student.save(update_fields=["called", "spelled"])
    return student


def leave(student: Student) -> None:
    """Note that a student left a phone, which lets them back for a day."""
    student.left_at = timezone.now()
    student.save(update_fields=["left_at"])


def come_back(student: Student) -> None:
    """Note that a student is back."""
    if student.left_at is not None:
        student.left_at = None
        student.save(update_fields=["left_at"])


@transaction.atomic
def forget(student: Student) -> None:
    """Take away a student's name, codes and phones for good; waxes, plans, printed tags and metal stay as they are.

    Whoever was merged into them is the same person under another name.
    """
    rows = [Student.objects.select_for_update(of=("self",)).select_related("course").get(pk=student.pk)]
    for one in rows:
        rows += Student.objects.select_for_update(of=("self",)).select_related("course").filter(merged_into=one)
    names = {one.called for one in rows}
    for one in rows:
        one.called, one.spelled, one.join_key = _("a student who was forgotten"), "", None
        one.return_hash, one.old_hash, one.old_hash_until = make_password(None), "", None
        one.left_at, one.forgotten_at = None, timezone.now()
        one.save()
    DemoLink.objects.filter(student__in=rows).delete()
    student_forgotten.send(sender=Student, student=rows[0], names=names)


def student_named(course: Course, called: str) -> Student | None:
    """Return the student of a class who has that name, however it is written in small and capital letters."""
    key = name_key(called)
    return next((one for one in Student.objects.here().filter(course=course) if name_key(one.called) == key), None)


def changes_to_undo(person: Person) -> list[StudentChange]:
    """Return what was removed and merged in the school within the last day and is not undone; the latest first."""
    recent = StudentChange.objects.filter(
        school=person.school, at__gt=timezone.now() - UNDO_FOR, undone_at__isnull=True
    )
    return list(recent.select_related("student", "into", "by").order_by("-at", "-pk"))


def _locked(by: Person, student_id: int) -> Student:
    rows = Student.objects.of(by).here().select_for_update(of=("self",)).select_related("course__school")
    return rows.get(pk=student_id)


def _told(signal: Signal, **said: Any) -> dict[str, Any]:
    """Send a signal and return together what its listeners moved."""
    moved: dict[str, Any] = {}
    answers: list[Any] = [told for _listener, told in signal.send(sender=Student, **said)]
    for told in answers:
        moved |= told or {}
    return moved


def _gone(by: Person, student: Student, into: Student | None, moved: dict[str, Any]) -> StudentChange:
    student.removed_at, student.merged_into = timezone.now(), into
    student.save(update_fields=["removed_at", "merged_into"])
    return StudentChange.objects.create(school=student.school, student=student, into=into, by=by, moved=moved)
