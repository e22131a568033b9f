"""Removing, merging and renaming students, and undoing it."""

import datetime as dt

import pytest
from django.contrib.auth.hashers import is_password_usable, make_password
from django.utils import timezone

from school import students
from school.join import reissue
from school.models import Student, StudentChange
from school.signals import student_forgotten, student_leaves
from tests.factories import CourseFactory, StudentFactory


def here(course):
    return set(Student.objects.here().filter(course=course))


def test_a_removed_student_is_gone_and_comes_back(course, teacher, student, classmate):
    change = students.remove(teacher, student.pk)
    assert here(course) == {classmate} and students.changes_to_undo(teacher) == [change]
    students.undo(teacher, change.pk)
    assert here(course) == {student, classmate} and students.changes_to_undo(teacher) == []


def test_a_merged_student_stands_for_the_other_and_comes_back(course, teacher, student, classmate):
    change = students.merge(teacher, student.pk, classmate.pk)
    assert here(course) == {classmate} and change.into == classmate
    students.undo(teacher, change.pk)
    assert here(course) == {student, classmate}
    assert Student.objects.get(pk=student.pk).merged_into is None


def test_a_roster_name_that_a_joined_student_is_merged_into_has_joined(course, teacher, student):
    listed = StudentFactory(course=course, joined_at=None, return_hash=make_password(None))
    change = students.merge(teacher, student.pk, listed.pk)
    assert Student.objects.get(pk=listed.pk).joined_at == student.joined_at
    students.undo(teacher, change.pk)
    assert Student.objects.get(pk=listed.pk).joined_at is None


def test_only_two_of_one_class_are_merged(teacher, student, school):
    elsewhere = StudentFactory(course=CourseFactory(school=school))
    for into in (student, elsewhere):
        with pytest.raises(students.Stays, match="of the same class"):
            students.merge(teacher, student.pk, into.pk)
    assert not StudentChange.objects.exists()


def test_nobody_touches_students_of_another_school_or_who_are_gone(teacher, other_teacher, student, classmate):
    for act in (students.remove, lambda by, pk: students.merge(by, pk, classmate.pk)):
        with pytest.raises(Student.DoesNotExist):
            act(other_teacher, student.pk)
    change = students.remove(teacher, student.pk)
    with pytest.raises(Student.DoesNotExist):
        students.remove(teacher, student.pk)
    with pytest.raises(StudentChange.DoesNotExist):
        students.undo(other_teacher, change.pk)


def test_what_was_a_day_ago_or_is_undone_stays(teacher, student, classmate):
    change = students.remove(teacher, student.pk)
    StudentChange.objects.update(at=timezone.now() - dt.timedelta(days=1, seconds=1))
    with pytest.raises(students.Stays, match="more than a day ago"):
        students.undo(teacher, change.pk)
    again = students.remove(teacher, classmate.pk)
    students.undo(teacher, again.pk)
    with pytest.raises(students.Stays, match="is undone already"):
        students.undo(teacher, again.pk)


def test_a_name_taken_meanwhile_is_not_doubled_by_an_undo(course, teacher, student):
    change = students.remove(teacher, student.pk)
    StudentFactory(course=course, called=student.called.upper())
    with pytest.raises(students.Stays, match="Rename them first"):
        students.undo(teacher, change.pk)


def test_a_student_is_renamed_to_a_name_that_nobody_has(course, teacher, student, classmate):
    with pytest.raises(students.Stays, match="already called Tobiah Renn"):
        students.rename(teacher, student.pk, "tobiah renn", "")
    assert students.rename(teacher, student.pk, "SUNNIVA O.", "").called == "SUNNIVA O."
    assert students.rename(teacher, student.pk, "Sunniva O.", "").called == "Sunniva O."
    assert students.student_named(course, "sunniva o.") == student


def test_a_listener_that_refuses_keeps_the_student(course, teacher, student):
    def refuse(**_signal):
        raise students.Stays("No.")

    student_leaves.connect(refuse)
    try:
        with pytest.raises(students.Stays) as refusal:
            students.remove(teacher, student.pk)
    finally:
        student_leaves.disconnect(refuse)
    assert refusal.value.sentence == "No." and here(course) == {student}


def test_leaving_is_noted_for_a_day_until_they_are_back(student):
    assert student.back_until is None
    students.leave(student)
    assert student.back_until == student.left_at + dt.timedelta(days=1)
    student.left_at -= dt.timedelta(days=1)
    assert student.back_until is None
    students.come_back(student)
    assert Student.objects.get(pk=student.pk).left_at is None


def test_a_forgotten_student_has_no_name_and_no_code_and_cannot_be_named_again(course, teacher, student, classmate):
    student.return_hash, student.spelled = make_password("CODE"), "Sunny"
    student.save()
    students.merge(teacher, classmate.pk, student.pk)
    heard = []
    student_forgotten.connect(heard_by := lambda names, **_signal: heard.append(names))
    students.forget(student)
    student_forgotten.disconnect(heard_by)
    assert heard == [{"Sunniva Okoro", "Tobiah Renn"}]
    for row in Student.objects.all():
        assert (row.called, row.spelled, row.join_key) == ("a student who was forgotten", "", None)
        assert not is_password_usable(row.return_hash) and row.old_hash == "" and row.forgotten_at
    assert here(course) == {student}
    with pytest.raises(students.Stays, match="took back their name"):
        students.rename(teacher, student.pk, "Sunniva Okoro", "")
    with pytest.raises(Student.DoesNotExist):
        reissue(teacher, student.pk)


def test_only_who_was_forgotten_is(student, classmate):
    students.forget(student)
    classmate.refresh_from_db()
    assert classmate.called == "Tobiah Renn" and classmate.forgotten_at is None
