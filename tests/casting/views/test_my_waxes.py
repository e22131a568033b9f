"""A student's own list: change, withdraw, bring back, until hand-in closes."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from casting.models import WaxChange
from school.models import Student
from tests.casting_factories import DayFactory, handed_in


def page(client):
    return client.get(reverse("my_waxes"))


def test_a_wax_is_listed_with_the_sprue_it_asks_for(student, student_client, day):
    handed_in(day, student, thickest_mm=Decimal("2.5"), thick_parts=1)
    text = student_client.get(reverse("my_waxes")).content.decode()
    assert "Make its sprue at least 2.5 mm thick" in text and "Measure its thickest part" not in text


def test_what_nobody_measured_is_asked_at_hand_in_and_not_again_in_the_list(student, student_client, day):
    handed_in(day, student)
    text = student_client.get(reverse("my_waxes")).content.decode()
    assert "Measure its thickest part" not in text and "Has it thick parts" not in text


def test_the_list_says_what_a_wax_takes(student, student_client, day):
    wax = handed_in(day, student)
    text = page(student_client).content.decode()
    assert wax.tag in text
    assert "34.53\u202fg" in text  # 3.20 / 0.96 x 10.36 = 34.53 g: worked by hand


def test_the_cast(student, student_client, classmate_client, teacher_client, stranger_client, day):
    wax = handed_in(day, student)
    assert wax.what in page(student_client).content.decode()
    assert wax.what not in page(classmate_client).content.decode()
    assert page(teacher_client).status_code == 302
    assert page(stranger_client).status_code == 302


@pytest.mark.parametrize("name", ["withdraw_wax", "bring_back_wax"])
def test_only_its_student_withdraws_a_wax(student, classmate_client, teacher_client, stranger_client, day, name):
    wax = handed_in(day, student)
    address = reverse(name, args=[wax.pk])
    assert classmate_client.post(address, {"version": 1}).status_code == 404
    assert teacher_client.post(address, {"version": 1}).status_code == 302
    assert stranger_client.post(address, {"version": 1}).status_code == 302
    wax.refresh_from_db()
    assert (wax.withdrawn_at, wax.version) == (None, 1)


def test_a_withdrawn_wax_can_be_brought_back(student, student_client, day):
    wax = handed_in(day, student)
    student_client.post(reverse("withdraw_wax", args=[wax.pk]), {"version": 1})
    wax.refresh_from_db()
    assert wax.withdrawn_at
    assert reverse("bring_back_wax", args=[wax.pk]) in page(student_client).content.decode()

    student_client.post(reverse("bring_back_wax", args=[wax.pk]), {"version": 2})
    wax.refresh_from_db()
    assert wax.withdrawn_at is None
    assert [change.after for change in WaxChange.objects.all()][1:] == [{"withdrawn": True}, {"withdrawn": False}]
    assert {change.by_student for change in WaxChange.objects.all()} == {student}


def test_no_state_changes_on_get(student, student_client, day):
    wax = handed_in(day, student)
    assert student_client.get(reverse("withdraw_wax", args=[wax.pk])).url == reverse("my_waxes")
    wax.refresh_from_db()
    assert wax.withdrawn_at is None


def test_after_closing_nothing_can_be_withdrawn(student, student_client, day):
    wax = handed_in(day, student)
    day.closed_at = day.pour_at
    day.save()
    assert reverse("withdraw_wax", args=[wax.pk]) not in page(student_client).content.decode()
    student_client.post(reverse("withdraw_wax", args=[wax.pk]), {"version": 1})
    wax.refresh_from_db()
    assert wax.withdrawn_at is None


@pytest.mark.parametrize("version", ["", "0", "2", "x", "1e9", "-1", "9" * 30])
def test_a_version_that_was_not_looked_at_withdraws_nothing(student, student_client, day, version):
    wax = handed_in(day, student)
    student_client.post(reverse("withdraw_wax", args=[wax.pk]), {"version": version})
    wax.refresh_from_db()
    assert wax.withdrawn_at is None


def test_twenty_waxes_cost_no_more_queries_than_one(student, student_client, day):
    handed_in(day, student)
    with CaptureQueriesContext(
        connection,
    ) as one:
        page(student_client)
    for _ in range(19):
        handed_in(day, student)
    with CaptureQueriesContext(connection) as twenty:
        page(student_client)
    assert len(twenty) == len(one)


def test_markup_in_a_name_stays_text(student, student_client, day):
    handed_in(day, student, what="<b>{{ 7 }}</b>")
    assert "&lt;b&gt;{{ 7 }}&lt;/b&gt;" in page(student_client).content.decode()


def test_open_days_stand_first_the_next_to_pour_on_top(student_client, course):
    now = timezone.now()
    far, near, before, long_before = (
        DayFactory(course=course, pour_at=now + dt.timedelta(days=days), closed_at=now if days < 0 else None)
        for days in (30, 3, -3, -30)
    )
    listed = [one.day for one in page(student_client).context["days"]]
    assert listed == [near, far, before, long_before]


def test_the_list_says_how_papers_name_a_student_whose_letters_they_lack(student, student_client):
    def body():
        return page(student_client).content.decode()

    rows = Student.objects.filter(pk=student.pk)
    assert reverse("my_name") not in body()
    rows.update(called="山田 花子")
    assert "Our papers cannot print 山, 田, 花, 子 of your name." in body() and f'href="{reverse("my_name")}"' in body()
    rows.update(spelled="Yamada Hanako")
    assert "Yamada Hanako" in body() and "cannot print" not in body()
