"""The teacher's page of classes and students, with the cast: student, classmate, teacher, a stranger."""

import datetime as dt

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from school.join import find_student
from school.models import Course, Student
from tests.factories import CourseFactory, StudentFactory


def test_only_teachers_see_the_classes(student_client, stranger_client, teacher_client, course):
    for client in (student_client, stranger_client):
        assert client.get(reverse("people")).url.startswith(reverse("sign_in"))
    assert course.name in teacher_client.get(reverse("people")).content.decode()


def test_a_teacher_sees_no_class_of_another_school(other_teacher_client, course, student):
    body = other_teacher_client.get(reverse("people")).content.decode()
    assert course.name not in body
    assert student.called not in body


def test_the_classes_take_no_more_queries_for_twenty_than_for_one(teacher_client, school, django_assert_num_queries):
    def fill(number):
        for _class in range(number):
            StudentFactory(course=CourseFactory(school=school))

    fill(1)
    with django_assert_num_queries(5):  # session, teacher with school, classes, their students, what can be undone
        teacher_client.get(reverse("people"))
    fill(19)
    with django_assert_num_queries(5):
        teacher_client.get(reverse("people"))


def test_a_teacher_opens_a_class_to_the_end_of_a_day_on_the_schools_clock(teacher_client, school):
    typed = {"name": "Signet rings", "last_day": "2999-07-01"}
    assert teacher_client.post(reverse("people"), typed).status_code == 302
    made = Course.objects.get(school=school)
    # New York keeps UTC-4 in July, so its first of July ends at 04:00 UTC on the second.
    assert made.open_until.isoformat() == "2999-07-02T04:00:00+00:00"
    assert made.last_day().isoformat() == "2999-07-01"


@pytest.mark.parametrize("last_day", ["", "2020-01-01", "9999-12-31", "soon"])
def test_a_class_needs_a_day_to_come(teacher_client, last_day):
    page = teacher_client.post(reverse("people"), {"name": "Signet rings", "last_day": last_day})
    assert page.status_code == 422
    assert not Course.objects.exists()


def test_one_school_has_no_two_classes_of_one_name(teacher_client, course):
    typed = {"name": course.name, "last_day": "2999-07-01"}
    assert teacher_client.post(reverse("people"), typed).status_code == 422


def test_the_poster_carries_the_way_in_and_stays_in_the_school(
    teacher_client, other_teacher_client, student_client, course
):
    address = reverse("poster", args=[course.pk])
    page = teacher_client.get(address)
    body = page.content.decode()
    assert page.context["address"] == f"http://testserver/join/{course.code}/"
    assert "<svg" in body
    assert f"{course.code[:3]}-{course.code[3:]}" in body
    assert other_teacher_client.get(address).status_code == 404
    assert student_client.get(address).url.startswith(reverse("sign_in"))


def test_a_new_return_code_is_the_teachers_to_give(
    teacher_client, other_teacher_client, classmate_client, stranger_client, student
):
    address = reverse("new_code", args=[student.pk])
    for client in (classmate_client, stranger_client):
        assert client.post(address).url.startswith(reverse("sign_in"))
    assert other_teacher_client.post(address).status_code == 404
    assert teacher_client.get(address).url == reverse("people")
    page = teacher_client.post(address)
    assert find_student(student.course.code, student.called, page.context["return_code"]) == student


def test_a_new_return_code_ends_the_old_sessions_once_it_can_no_longer_be_taken_back(
    teacher_client, student_client, student
):
    body = teacher_client.post(reverse("new_code", args=[student.pk])).content.decode()
    assert reverse("undo_code", args=[student.pk]) in body
    assert student_client.get(reverse("home")).status_code == 302
    Student.objects.update(old_hash_until=timezone.now())
    assert student_client.get(reverse("home")).status_code == 200


def test_a_new_return_code_is_taken_back(teacher_client, other_teacher_client, student_client, student):
    address = reverse("undo_code", args=[student.pk])
    teacher_client.post(reverse("new_code", args=[student.pk]))
    assert other_teacher_client.post(address).status_code == 404
    assert "old return code works again" in teacher_client.post(address, follow=True).content.decode()
    assert student_client.get(reverse("home")).url == reverse("my_waxes")
    assert "too late" in teacher_client.post(address, follow=True).content.decode()


def test_a_class_is_closed_to_new_students_and_opened_for_a_week(teacher_client, other_teacher_client, course):
    address, join = reverse("open_or_close", args=[course.pk]), reverse("join_class", args=[course.code])
    assert other_teacher_client.post(address, {"do": "close"}).status_code == 404
    assert teacher_client.post(address, {"do": "close"}).url == reverse("people")
    assert Client().get(join).status_code == 404
    teacher_client.post(address, {"do": "open"})
    assert Client().get(join).status_code == 200
    last = Course.objects.get(pk=course.pk).last_day()
    assert last - timezone.localdate(timezone=course.school.tz) == dt.timedelta(days=7)


@pytest.fixture
def hanako(student):
    """The student under a name that papers cannot print."""
    Student.objects.filter(pk=student.pk).update(called="山田 花子")
    return student


def test_a_student_says_later_how_the_name_is_spelled(student_client, teacher_client, stranger_client, hanako):
    address = reverse("my_name")
    for client in (teacher_client, stranger_client):
        assert client.get(address).url == reverse("came_back")
    body = student_client.get(address).content.decode()
    assert "Our papers cannot print 山, 田, 花, 子 in the name" in body
    assert student_client.post(address, {"spelled": "Hanako 花"}).status_code == 422
    assert student_client.post(address, {"spelled": "Yamada Hanako"}).url == reverse("my_waxes")
    assert 'value="Yamada Hanako"' in student_client.get(address).content.decode()
    assert student_client.post(address, {"spelled": ""}).url == reverse("my_waxes")
    assert Student.objects.get(pk=hanako.pk).spelled == ""


def test_nobody_is_asked_about_a_name_that_prints(student_client, teacher_client, student):
    assert student_client.get(reverse("my_name")).url == reverse("my_waxes")
    assert student_client.post(reverse("my_name"), {"spelled": "Sunny"}).url == reverse("my_waxes")
    assert teacher_client.post(reverse("spell_name", args=[student.pk]), {"spelled": "Sunny"}).url == reverse("people")
    assert Student.objects.get(pk=student.pk).spelled == ""
    assert reverse("spell_name", args=[student.pk]) not in teacher_client.get(reverse("people")).content.decode()


def test_the_teacher_spells_a_students_name_where_the_people_are_listed(
    teacher_client, other_teacher_client, classmate_client, stranger_client, hanako
):
    address = reverse("spell_name", args=[hanako.pk])
    for client in (classmate_client, stranger_client):
        assert client.post(address, {"spelled": "Yamada"}).url.startswith(reverse("sign_in"))
    assert other_teacher_client.post(address, {"spelled": "Yamada"}).status_code == 404
    listed = teacher_client.get(reverse("people")).content.decode()
    assert "our papers cannot print 山, 田, 花, 子" in listed and f'href="{address}"' in listed
    assert "山田 花子" in teacher_client.get(address).content.decode()
    assert teacher_client.post(address, {"spelled": "Yamada Hanako"}).url == reverse("people")
    listed = teacher_client.get(reverse("people")).content.decode()
    assert "山田 花子" in listed and "Yamada Hanako" in listed and "cannot print" not in listed
