"""A casting day announced, changed, its hand-in closed and opened again."""

import datetime as dt
from dataclasses import replace

import pytest
from django.utils import timezone

from casting.models import Alloy, CastingDay
from casting.services.days import DayEntry, announce, change, close_hand_in, reopen_hand_in
from casting.services.shelf import ChangedMeanwhile
from casting.services.stock import stock_school
from casting.services.waxes import HandInClosed
from tests.casting_factories import handed_in

POUR_AT = dt.datetime(2030, 5, 4, 14, tzinfo=dt.UTC)


def metals(school, *keys):
    return list(Alloy.objects.filter(school=school, key__in=keys))


def hours(day):
    return (day.opens, day.closes, day.hand_in_until)


def test_a_day_is_announced_with_its_instants_hours_and_metals(course):
    stock_school(course.school)
    offered = metals(course.school, "sterling", "si-bronze")
    closes_at = POUR_AT - dt.timedelta(days=1)
    studio = (dt.time(9), dt.time(18, 30), dt.time(13))
    announce(course, DayEntry(POUR_AT, offered, closes_at, *studio))
    day = CastingDay.objects.get()
    assert (day.course, day.pour_at, day.hand_in_closes_at, day.closed_at) == (course, POUR_AT, closes_at, None)
    assert hours(day) == studio
    assert set(day.alloys.all()) == set(offered)


def test_the_same_day_sent_twice_is_announced_once(course):
    stock_school(course.school)
    entry = DayEntry(POUR_AT, metals(course.school, "sterling"))
    first = announce(course, entry)
    assert announce(course, entry) == first and CastingDay.objects.count() == 1
    others = [
        replace(entry, pour_at=POUR_AT + dt.timedelta(hours=1)),
        replace(entry, alloys=[]),
        replace(entry, hands=3),
    ]
    assert len({first, *(announce(course, other) for other in others)}) == 4
    CastingDay.objects.filter(pk=first.pk).update(cancelled_at=POUR_AT)
    assert announce(course, entry) != first, "a cancelled day is not the one that is meant"


def test_what_an_entry_leaves_open_is_taken_away(day):
    change(day, DayEntry(POUR_AT, [], POUR_AT, dt.time(9), dt.time(18), dt.time(13)))
    change(day, DayEntry(POUR_AT, metals(day.course.school, "sterling")))
    day.refresh_from_db()
    assert (day.hand_in_closes_at, *hours(day)) == (None, None, None, None)
    assert [alloy.key for alloy in day.alloys.all()] == ["sterling"]


def test_a_change_keeps_the_waxes_and_leaves_closed_what_was_closed_on_another_screen(day):
    wax = handed_in(day)
    seen = CastingDay.objects.get(pk=day.pk)
    close_hand_in(day)
    change(seen, DayEntry(POUR_AT, metals(day.course.school, "sterling")))
    day.refresh_from_db()
    assert day.pour_at == POUR_AT and day.closed_at is not None
    assert list(day.waxes.all()) == [wax]


def test_a_change_is_written_whole_or_not_at_all(day):
    before = day.pour_at
    # An alloy that is no row cannot be offered.
    with pytest.raises(ValueError, match="Alloy"):
        change(CastingDay.objects.get(pk=day.pk), DayEntry(POUR_AT, [Alloy()]))
    day.refresh_from_db()
    assert day.pour_at == before and day.alloys.exists()


def test_closed_twice_keeps_the_first_time(day):
    close_hand_in(day)
    first = CastingDay.objects.get().closed_at
    close_hand_in(day)
    assert CastingDay.objects.get().closed_at == first is not None


def test_a_time_that_has_passed_closes_hand_in_until_it_is_opened_again(day, student):
    change(day, DayEntry(day.pour_at, day.alloys.all(), timezone.now() - dt.timedelta(minutes=1)))
    with pytest.raises(HandInClosed):
        handed_in(day, student)
    reopen_hand_in(day)
    assert handed_in(day, student).tag


def test_opened_again_it_still_closes_at_a_time_to_come_and_is_written_in_one_query(day, django_assert_num_queries):
    to_come = timezone.now() + dt.timedelta(days=1)
    change(day, DayEntry(day.pour_at, day.alloys.all(), to_come))
    close_hand_in(day)
    with django_assert_num_queries(1):
        reopen_hand_in(day)
    day.refresh_from_db()
    assert (day.closed_at, day.hand_in_closes_at) == (None, to_come)


def test_a_measured_gloss_off_goes_into_the_day_file_and_out_again(day):
    assert "gloss_off_min" not in day.to_day()
    metal = metals(day.course.school, "sterling")
    change(day, DayEntry(POUR_AT, metal, gloss_off_min=8.5))
    assert CastingDay.objects.get(pk=day.pk).to_day()["gloss_off_min"] == 8.5
    change(day, DayEntry(POUR_AT, metal))
    assert "gloss_off_min" not in CastingDay.objects.get(pk=day.pk).to_day()


def test_a_change_of_a_day_that_moved_on_is_refused_and_written_nowhere(day, teacher):
    later = POUR_AT + dt.timedelta(hours=4)
    seen = day.version
    change(CastingDay.objects.get(pk=day.pk), DayEntry(later, list(day.alloys.all())), by=teacher, version=seen)
    with pytest.raises(ChangedMeanwhile):
        change(CastingDay.objects.get(pk=day.pk), DayEntry(POUR_AT, []), by=teacher, version=seen)
    day.refresh_from_db()
    assert (day.pour_at, day.version, day.changes.count()) == (later, seen + 1, 1)
    assert day.changes.get().by_person == teacher and day.alloys.exists()
