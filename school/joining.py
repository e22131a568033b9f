"""Joining without ghosts: a name on the roster is linked, a near one asked about, one that somebody has told apart."""

from __future__ import annotations

import uuid
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from school.join import RETURN_CODE_LENGTH, hash_code, join, random_code
from school.models import Course, Student
from school.names import are_near, name_key, told_apart

MOST_NEAR = 3


@dataclass(frozen=True, slots=True)
class SameName:
    """Somebody who has joined has the typed name: are you that person, or `suggested`?"""

    suggested: str


@dataclass(frozen=True, slots=True)
class NearNames:
    """Roster names that may be meant by the typed one."""

    students: tuple[Student, ...]


class TooManyNames(Exception):
    """The class takes no more new names for now; a name on its roster is taken all the same."""


@transaction.atomic
def enter(
    course: Course,
    called: str,
    key: uuid.UUID | None,
    spelled: str = "",
    *,
    who: int | None = None,
    new: bool = False,
    may_add: bool = True,
) -> tuple[Student, str] | SameName | NearNames:
    """Join a class under a name, or return what has to be asked first.

    `who` is the roster name that the person said is theirs; `new` that none is. Nobody gets a student whom somebody
    has joined as: that takes the return code, or a new one from the teacher. The same form sent again is one student.
    Raises `TooManyNames` where a student would be added and `may_add` says no.
    """
    Course.objects.select_for_update().get(pk=course.pk)
    here = list(Student.objects.here().filter(course=course).order_by("called", "pk"))
    if key and any(one.join_key == key and one.called == called for one in here):
        return join(course, called, key, spelled)
    same = [one for one in here if name_key(one.called) == name_key(called)]
    on_roster = [one for one in here if one.joined_at is None]
    mine = next((one for one in on_roster if one in same or (one.pk == who and are_near(one.called, called))), None)
    if mine:
        return _claim(mine, key, spelled)
    if same:
        return SameName(told_apart(called, {name_key(one.called) for one in here}))
    near = tuple(one for one in on_roster if are_near(one.called, called))[:MOST_NEAR]
    if near and not new:
        return NearNames(near)
    if not may_add:
        raise TooManyNames
    return join(course, called, key, spelled)


def _claim(student: Student, key: uuid.UUID | None, spelled: str) -> tuple[Student, str]:
    """Link a name on the roster to whoever joins under it, and give them a return code."""
    code = random_code(RETURN_CODE_LENGTH)
    student.return_hash, student.joined_at = hash_code(code), timezone.now()
    student.join_key = key or uuid.uuid4()
    student.spelled = spelled or student.spelled
    student.save(update_fields=["return_hash", "joined_at", "join_key", "spelled"])
    return student, code
