"""Classes and their students."""

from __future__ import annotations

import datetime as dt
from typing import Any, Self

from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from school.models.people import Person
from school.models.school import School
from school.names import MAX_CHARACTERS, name_with_spelling, unprinted_letters

BACK_FOR = dt.timedelta(days=1)
"""How long a phone that a student left lets them back."""


class CourseQuerySet(models.QuerySet["Course"]):
    """Classes."""

    def of(self, person: Person) -> Self:
        """Those of the person's school, without the invented one of a rehearsal."""
        return self.filter(school__isnull=False, school=person.school_id, is_rehearsal=False)

    def open_on(self, moment: dt.datetime) -> Self:
        """Those that students may still join at that moment."""
        return self.filter(open_until__gt=moment)


class Course(models.Model):
    """A class of students; screens say "class", which is a keyword in Python."""

    school = models.ForeignKey(School, models.CASCADE, related_name="courses", verbose_name=_("school"))
    name = models.CharField(_("name"), max_length=120)
    code = models.CharField(_("class code"), max_length=6)
    open_until = models.DateTimeField(_("joining open until"))
    # Its students are invented: no list and no count has it.
    is_rehearsal = models.BooleanField(default=False, editable=False)
    created = models.DateTimeField(default=timezone.now, editable=False)

    objects = CourseQuerySet.as_manager()

    class Meta:
        verbose_name = _("class")
        verbose_name_plural = _("classes")
        constraints = [
            models.UniqueConstraint(fields=["school", "name"], name="course_name_once"),
            # Unique across schools: the address on a poster holds the code alone.
            models.UniqueConstraint(fields=["code"], name="course_code_once"),
            models.CheckConstraint(
                condition=Q(code__regex=r"^[0-9ABCDEFGHJKMNPQRSTVWXYZ]{6}$"), name="course_code_letters"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def last_day(self) -> dt.date:
        """Return the last day on which somebody may still join, on the school's clock."""
        return (self.open_until - dt.timedelta(seconds=1)).astimezone(self.school.tz).date()

    def is_open(self, moment: dt.datetime) -> bool:
        """Tell whether students may still join at that moment."""
        return moment < self.open_until


class StudentQuerySet(models.QuerySet["Student"]):
    """Students."""

    def of(self, person: Person) -> Self:
        """Those of the person's school."""
        return self.filter(school__isnull=False, school=person.school_id)

    def here(self) -> Self:
        """Those who are neither removed nor merged into another; roster names that have not joined are here too."""
        return self.filter(removed_at__isnull=True)


class Student(models.Model):
    """A member of a class: the name they are called by, and the hash of their return code."""

    school = models.ForeignKey(School, models.CASCADE, related_name="students", editable=False)
    course = models.ForeignKey(Course, models.CASCADE, related_name="students", verbose_name=_("class"))
    called = models.CharField(_("called"), max_length=MAX_CHARACTERS)
    spelled = models.CharField(_("name spelled for the papers"), max_length=MAX_CHARACTERS, blank=True, default="")
    return_hash = models.CharField(max_length=256, editable=False)
    # The code before, for as long as the teacher may take the new one back: phones let in by it stay so long.
    old_hash = models.CharField(max_length=256, blank=True, default="", editable=False)
    old_hash_until = models.DateTimeField(null=True, editable=False)
    # Null is a name on the roster that nobody has joined under.
    joined_at = models.DateTimeField(default=timezone.now, null=True, editable=False)
    removed_at = models.DateTimeField(null=True, editable=False)
    # When they left a phone last, unless they have come back; that phone lets them back for a day.
    left_at = models.DateTimeField(null=True, editable=False)
    # When they had their name forgotten; their waxes stay.
    forgotten_at = models.DateTimeField(null=True, editable=False)
    merged_into = models.ForeignKey("self", models.SET_NULL, null=True, related_name="+", editable=False)
    # Comes from the form: the same form sent twice over a weak network makes one student.
    join_key = models.UUIDField(null=True, blank=True, editable=False)
    created = models.DateTimeField(default=timezone.now, editable=False)

    mark: str | None
    """The mark of their school, of a student who makes a request."""

    objects = StudentQuerySet.as_manager()

    class Meta:
        verbose_name = _("student")
        verbose_name_plural = _("students")
        constraints = [
            models.CheckConstraint(condition=~Q(called=""), name="student_has_a_name"),
            models.CheckConstraint(condition=~Q(return_hash=""), name="student_has_a_code"),
            models.UniqueConstraint(fields=["school", "course", "join_key"], name="student_joins_once"),
        ]
        indexes = [models.Index(fields=["school", "course", "called"], name="student_by_school")]

    def __str__(self) -> str:
        return self.called

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save the student with the school of their class."""
        self.school_id = self.course.school_id
        super().save(*args, **kwargs)

    @property
    def became(self) -> Student:
        """Whom the student was merged into, and that one again; themself if nobody."""
        return self if self.merged_into is None else self.merged_into.became

    @property
    def new_code_can_be_undone(self) -> bool:
        """Whether the return code before can still be put back."""
        return bool(self.old_hash and self.old_hash_until and timezone.now() < self.old_hash_until)

    @property
    def back_until(self) -> dt.datetime | None:
        """Until when the phone that they left lets them back; None if they have not left, or longer ago."""
        until = self.left_at and self.left_at + BACK_FOR
        return until if until and timezone.now() < until else None

    @property
    def missing_letters(self) -> str:
        """The letters of the name that papers cannot print, as a sentence names them."""
        return unprinted_letters(self.called)

    @property
    def with_spelling(self) -> str:
        """The name as a teacher's screen shows it."""
        return name_with_spelling(self.called, self.spelled)


class StudentChange(models.Model):
    """A student removed from a class or merged into another, with what moved along, so that it can be undone."""

    school = models.ForeignKey(School, models.CASCADE, related_name="+")
    student = models.ForeignKey(Student, models.CASCADE, related_name="+")
    into = models.ForeignKey(Student, models.CASCADE, null=True, related_name="+")
    by = models.ForeignKey(Person, models.SET_NULL, null=True, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    moved = models.JSONField(default=dict)
    undone_at = models.DateTimeField(null=True)

    class Meta:
        indexes = [models.Index(fields=["school", "at"], name="student_change_by_school")]

    def __str__(self) -> str:
        return f"{self.student} {self.at:%Y-%m-%d %H:%M}"
