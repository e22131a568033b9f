"""Joining makes no ghosts."""

import uuid

import pytest
from django.contrib.auth.hashers import make_password
from django.db import connection
from django.test.utils import CaptureQueriesContext

from school.join import find_student
from school.joining import NearNames, SameName, enter
from school.models import Student
from tests.factories import CourseFactory, StudentFactory


def listed(course, called):
    return StudentFactory(course=course, called=called, joined_at=None, return_hash=make_password(None))


def students(course):
    return Student.objects.filter(course=course).count()


@pytest.mark.parametrize("typed", ["Ana Martínez", "ana martínez", "ANA  MARTÍNEZ"])
def test_the_name_on_the_roster_is_linked(typed, course):
    row = listed(course, "Ana Martínez")
    student, code = enter(course, typed, uuid.uuid4())
    assert student == row and students(course) == 1
    assert Student.objects.get(pk=row.pk).joined_at
    assert find_student(course.code, "Ana Martínez", code) == row


@pytest.mark.parametrize("typed", ["Ana", "Ana M.", "Ana Martinez", "Anna Martínez"])
def test_a_near_name_on_the_roster_is_asked_about_and_nothing_is_written(typed, course):
    row = listed(course, "Ana Martínez")
    listed(course, "Tobiah Renn")
    assert enter(course, typed, uuid.uuid4()) == NearNames((row,))
    assert Student.objects.get(pk=row.pk).joined_at is None
    assert enter(course, typed, uuid.uuid4(), who=row.pk)[0] == row
    assert students(course) == 2


def test_whoever_is_none_of_them_is_new(course):
    listed(course, "Ana Martínez")
    student, _code = enter(course, "Ana", uuid.uuid4(), new=True)
    assert student.called == "Ana" and students(course) == 2


def test_nobody_is_linked_to_a_name_that_is_not_near_to_what_they_wrote(course):
    row = listed(course, "Tobiah Renn")
    elsewhere = listed(CourseFactory(school=course.school), "Ana Martínez")
    for pk in (row.pk, elsewhere.pk):
        student, _code = enter(course, "Ana", uuid.uuid4(), who=pk)
        assert student.pk not in (row.pk, elsewhere.pk)
        student.delete()


@pytest.mark.parametrize("typed", ["Ana M.", "ana m."])
def test_a_name_that_somebody_has_makes_nobody(typed, course):
    first, _code = enter(course, "Ana M.", uuid.uuid4())
    assert enter(course, typed, uuid.uuid4(), new=True) == SameName(f"{typed} (2)")
    assert enter(course, typed, uuid.uuid4(), who=first.pk) == SameName(f"{typed} (2)")
    assert students(course) == 1
    second, _code = enter(course, "Ana M. (2)", uuid.uuid4())
    assert second != first
    assert enter(course, "Ana M.", uuid.uuid4()) == SameName("Ana M. (3)")


def test_the_same_form_sent_twice_is_one_student_who_was_on_the_roster(course):
    row, key = listed(course, "Ana"), uuid.uuid4()
    for _time in range(2):
        student, code = enter(course, "Ana", key)
        assert student == row and find_student(course.code, "Ana", code) == row


def test_a_removed_student_stands_in_nobodys_way(course):
    gone, _code = enter(course, "Ana", uuid.uuid4())
    Student.objects.filter(pk=gone.pk).update(removed_at=gone.created)
    student, _code = enter(course, "Ana", uuid.uuid4())
    assert student != gone


def test_other_classes_have_their_own_names(course):
    enter(CourseFactory(school=course.school), "Ana", uuid.uuid4())
    assert enter(course, "Ana", uuid.uuid4())[0].course == course


def test_joining_asks_no_more_queries_in_a_large_class(course):
    asked = []
    for nth, name in enumerate(["Ana", "Tobiah"]):
        with CaptureQueriesContext(connection) as queries:
            enter(course, name, uuid.uuid4())
        asked.append(len(queries))
        for _student in range(30 * (1 - nth)):
            StudentFactory(course=course)
    assert asked[0] == asked[1]
