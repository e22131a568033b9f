"""Cancelling and closing a day on its page, and what others then see."""

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from casting.models import CastingDay, Flask
from tests.casting_factories import DayFactory, handed_in


def press(client, day, do, why=""):
    return client.post(reverse("day_state", args=[day.pk]), {"do": do, "why": why})


def page(client, name, *args):
    return client.get(reverse(name, args=args)).content.decode()


@pytest.fixture
def over(day):
    CastingDay.objects.filter(pk=day.pk).update(pour_at=timezone.now() - dt.timedelta(hours=6))
    return day


def test_students_see_that_a_day_is_cancelled_by_whom_and_why(day, student, teacher, teacher_client, student_client):
    handed_in(day, student)
    assert press(teacher_client, day, "cancel", "the <pump> is broken").status_code == 302
    said = f"cancelled, by {teacher.name}: the &lt;pump&gt; is broken."
    for seen in (page(student_client, "my_waxes"), page(student_client, "hand_in_day", day.pk)):
        assert said in seen and "<pump>" not in seen
    assert ">Withdraw<" not in page(student_client, "my_waxes")
    assert said in page(teacher_client, "waxes", day.pk) and "cancelled" in page(teacher_client, "days")
    waxes = page(teacher_client, "waxes", day.pk)
    assert "Make the plan" not in waxes and "Weigh in" not in waxes and ">Keep<" not in waxes
    assert press(teacher_client, day, "uncancel").status_code == 302
    assert "cancelled" not in page(student_client, "my_waxes")


def test_hand_in_goes_to_the_next_day_that_takes_place(day, student_client, teacher_client):
    later = DayFactory(course=day.course, pour_at=day.pour_at + dt.timedelta(days=7))
    press(teacher_client, day, "cancel", "the pump is broken")
    assert student_client.get(reverse("hand_in")).context["form"].day == later


def test_without_a_reason_nothing_is_cancelled_and_what_was_typed_stays(day, teacher_client):
    answer = press(teacher_client, day, "cancel", " ")
    assert answer.status_code == 422 and "Write why it is cancelled" in answer.content.decode()
    answer = press(teacher_client, day, "cancel", "because " * 40)
    assert answer.status_code == 422 and "because because" in answer.content.decode()
    assert CastingDay.objects.get().cancelled_at is None


def test_a_closed_day_goes_to_earlier_days_and_comes_back(over, teacher_client):
    listed = teacher_client.get(reverse("days")).context
    assert (listed["days"], listed["earlier"]) == ([over], [])
    assert press(teacher_client, over, "end").status_code == 302
    listed = teacher_client.get(reverse("days")).context
    assert (listed["days"], listed["earlier"]) == ([], [over])
    assert "1 earlier day" in page(teacher_client, "days") and "No casting day yet" not in page(teacher_client, "days")
    change = page(teacher_client, "change_day", over.pk)
    assert "This casting day is closed." in change and 'name="pour_on"' not in change
    assert press(teacher_client, over, "reopen").status_code == 302
    assert teacher_client.get(reverse("days")).context["days"] == [over]


def test_a_cancelled_day_stays_in_the_list_until_it_is_past(day, teacher_client):
    press(teacher_client, day, "cancel", "the pump is broken")
    assert teacher_client.get(reverse("days")).context["days"] == [day]
    CastingDay.objects.filter(pk=day.pk).update(pour_at=timezone.now() - dt.timedelta(hours=6))
    assert teacher_client.get(reverse("days")).context["earlier"] == [day]


def test_what_is_left_is_asked_at_its_field(over, teacher_client):
    Flask.objects.create(day=over, label="B", state=Flask.State.INVESTED)
    assert "Not poured: B. What becomes of them?" in page(teacher_client, "change_day", over.pk)
    assert press(teacher_client, over, "end").status_code == 422
    assert press(teacher_client, over, "end", "B cracked and is struck").status_code == 302
    assert "closed: B cracked and is struck" in page(teacher_client, "change_day", over.pk)


def test_the_cast(day, teacher_client, other_teacher_client, student_client, stranger_client):
    for client in (student_client, stranger_client):
        assert press(client, day, "cancel", "x").url.startswith(reverse("sign_in"))
    assert press(other_teacher_client, day, "cancel", "x").status_code == 404
    assert press(teacher_client, day, "burn").status_code == 404
    assert teacher_client.get(reverse("day_state", args=[day.pk])).url == reverse("change_day", args=[day.pk])
    assert CastingDay.objects.get().cancelled_at is None
