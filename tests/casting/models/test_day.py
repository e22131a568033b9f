"""Casting days, waxes and flasks: who sees them, and what a day file takes from them."""

import datetime as dt

import pytest
from django.db import DatabaseError, IntegrityError

from casting.models import CastingDay, Flask, Wax, WaxHold
from tests.casting_factories import DayFactory, handed_in
from tests.factories import CourseFactory

# Denver is on winter time on 12 January 2027, 7 h behind UTC.
POUR_AT = dt.datetime(2027, 1, 12, 17, 0, tzinfo=dt.UTC)


@pytest.fixture
def in_denver(school):
    school.zone, school.elevation_m = "America/Denver", None
    school.save()
    return DayFactory(course=CourseFactory(school=school), pour_at=POUR_AT)


def test_a_day_is_seen_by_its_own_teacher_and_class(day, teacher, other_teacher, student):
    assert list(CastingDay.objects.of(teacher)) == [day]
    assert not CastingDay.objects.of(other_teacher)


def test_hand_in_ends_when_it_was_closed_or_at_its_time(day):
    noon = day.pour_at - dt.timedelta(days=3)
    assert day.hand_in_open(noon) and day.hand_in_open(day.pour_at - dt.timedelta(minutes=1))
    assert not day.hand_in_open(day.pour_at)
    day.hand_in_closes_at = noon
    assert day.hand_in_open(noon - dt.timedelta(minutes=1))
    assert not day.hand_in_open(noon)
    day.hand_in_closes_at, day.closed_at = None, noon
    assert not day.hand_in_open(noon - dt.timedelta(days=1))


def test_a_time_of_closing_after_the_first_pour_keeps_no_day_open(day):
    day.hand_in_closes_at = day.pour_at + dt.timedelta(hours=1)
    assert not day.hand_in_open(day.pour_at)
    assert day.pour_has_begun(day.pour_at) and not day.pour_has_begun(day.pour_at - dt.timedelta(minutes=1))
    assert not day.pour_has_begun()


def test_a_day_file_has_the_pour_with_its_offset_and_only_what_is_known(in_denver):
    assert in_denver.to_day() == {
        "format": "casting-day/1",
        "timezone": "America/Denver",
        "pour_at": "2027-01-12T10:00-07:00",
    }


def test_a_day_file_has_elevation_and_hours_where_they_are_known(in_denver):
    in_denver.course.school.elevation_m = 1609
    in_denver.opens, in_denver.closes, in_denver.hand_in_until = dt.time(9), dt.time(18, 30), dt.time(13, 30)
    values = in_denver.to_day()
    assert values["elevation_m"] == 1609
    assert values["hours"] == {"opens": "09:00", "closes": "18:30", "hand_in_until": "13:30"}


def test_a_planned_flask_has_no_state_yet(day):
    Flask.objects.create(day=day, label="A")
    Flask.objects.create(day=day, label="B", state=Flask.State.POURED)
    assert day.states() == {"B": "poured"}


@pytest.mark.parametrize("hours", [{"opens": dt.time(18), "closes": dt.time(9)}, {"opens": dt.time(9)}])
def test_the_database_refuses_hours_that_do_not_fit(day, hours):
    with pytest.raises(IntegrityError, match="studio_opens_before_it_closes"):
        CastingDay.objects.filter(pk=day.pk).update(**hours)


def test_a_wax_is_seen_by_its_student_and_teacher(day, student, classmate, teacher, other_teacher):
    wax = handed_in(day, student)
    assert list(Wax.objects.for_student(student)) == list(Wax.objects.of(teacher)) == [wax]
    assert not Wax.objects.for_student(classmate) and not Wax.objects.of(other_teacher)


def test_a_withdrawn_wax_stands_no_more(day, student):
    wax = handed_in(day, student)
    assert list(Wax.objects.standing()) == [wax]
    Wax.objects.update(withdrawn_at=POUR_AT)
    assert not Wax.objects.standing()


def test_a_wax_stands_in_a_day_file_under_its_tag(day, student):
    wax = handed_in(day, student, own_metal=True)
    assert wax.to_day(piece=2) == {
        "key": wax.tag,
        "student": f"student-{student.pk}",
        "piece": 2,
        "owner": f"student-{student.pk}",
        "alloy": "sterling",
        "pattern": "carving-wax",
        "wax_g": 3.2,
        "sprue_g": 0.0,
        "sprue_pattern": None,
        "width_mm": 22.0,
        "depth_mm": 8.0,
        "height_mm": 33.0,
        "section": "medium",
    }
    assert wax.section_word == "medium"


@pytest.mark.parametrize("label", ["a", "", "A-1"])
def test_the_database_refuses_what_is_no_label(day, student, label):
    with pytest.raises(IntegrityError, match="held_label_is_a_label"):
        WaxHold.objects.create(wax=handed_in(day, student), label=label)


def test_the_database_refuses_a_label_that_is_too_long(day, student):
    # PostgreSQL by the width of the column, SQLite by the constraint.
    with pytest.raises(DatabaseError):
        WaxHold.objects.create(wax=handed_in(day, student), label="ABCD")
