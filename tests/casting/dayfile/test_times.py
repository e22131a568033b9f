"""The first pour and the studio hours, over the changes of the clocks."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from casting.calc.values.errors import Refused
from casting.dayfile import read
from casting.dayfile.times import is_before, show, to_the_minute
from tests.days.example_file import bare


# Clocks in Denver: forward at 02:00 on 14 March 2027 (second Sunday), back at 02:00 on 7 November 2027 (first).
def test_a_time_that_does_not_exist_is_refused_naming_both_neighbours() -> None:
    with pytest.raises(Refused) as refused:
        read(bare(pour_at="2027-03-14T02:30"))
    assert "2027-03-14T01:30-07:00 or 2027-03-14T03:30-06:00" in str(refused.value)


def test_a_time_that_happens_twice_is_refused_naming_both() -> None:
    with pytest.raises(Refused) as refused:
        read(bare(pour_at="2027-11-07T01:30"))
    assert "2027-11-07T01:30-06:00 or 2027-11-07T01:30-07:00" in str(refused.value)


@pytest.mark.parametrize(
    ("typed", "instant"),
    [
        ("2027-03-14T10:00", datetime(2027, 3, 14, 16, 0, tzinfo=UTC)),
        ("2027-03-14T10:00-06:00", datetime(2027, 3, 14, 16, 0, tzinfo=UTC)),
        ("2027-03-14T10:00:00-06:00", datetime(2027, 3, 14, 16, 0, tzinfo=UTC)),  # as a plan file writes its times
        ("2027-03-14T10:00:00", datetime(2027, 3, 14, 16, 0, tzinfo=UTC)),
        ("2027-03-14T16:00:00Z", datetime(2027, 3, 14, 16, 0, tzinfo=UTC)),
        ("2027-03-14T16:00Z", datetime(2027, 3, 14, 16, 0, tzinfo=UTC)),
        ("2027-11-07T01:30-06:00", datetime(2027, 11, 7, 7, 30, tzinfo=UTC)),
        ("2027-11-07T01:30-07:00", datetime(2027, 11, 7, 8, 30, tzinfo=UTC)),
        ("2001-07-01T09:00", datetime(2001, 7, 1, 15, 0, tzinfo=UTC)),  # a pour long past is planned
    ],
)
def test_the_first_pour_is_an_instant(typed: str, instant: datetime) -> None:
    assert read(bare(pour_at=typed)).pour_at.astimezone(UTC) == instant


def test_seconds_are_refused_because_a_plan_counts_whole_minutes() -> None:
    with pytest.raises(Refused) as refused:
        read(bare(pour_at="2027-03-14T10:00:30-06:00"))
    assert str(refused.value) == (
        'pour_at: "2027-03-14T10:00:30-06:00" stands here, but a plan counts whole minutes from it; '
        "write 2027-03-14T10:00-06:00."
    )


def test_the_first_pour_of_a_plan_file_is_read_back() -> None:
    day = read(bare(pour_at="2027-03-14T10:00"))
    assert read(bare(pour_at=show(day.pour_at, 0, day.zone))).pour_at == day.pour_at


def test_hours_are_minutes_from_the_pour_over_a_change_of_clocks() -> None:
    hours = {"opens": "09:00", "closes": "18:30", "hand_in_until": "13:30"}
    days = read(bare(hours=hours)).day.hours
    # The pour is at 10:00 MDT = 16:00 UTC on the 14th. That day opens at 09:00 MDT, 60 min before it; the day
    # before opened at 09:00 MST = 16:00 UTC on the 13th, 24 h before it, and closed at 18:30 MST = 01:30 UTC,
    # 14 h 30 min before it; hand-in closed at 13:30 MST = 20:30 UTC, 19 h 30 min before it.
    assert len(days) == 10
    assert (days[8].opens, days[8].closes, days[8].hand_in_until) == (-60, 510, 210)
    assert (days[7].opens, days[7].closes, days[7].hand_in_until) == (-1440, -870, -1170)
    # Midnight of the 14th was at 00:00 MST = 07:00 UTC, 9 h before the pour.
    assert days[8].midnight == -540


def test_hours_without_hand_in_until_leave_it_open() -> None:
    days = read(bare(hours={"opens": "09:00", "closes": "18:30"})).day.hours
    assert {day.hand_in_until for day in days} == {None}


def test_a_day_may_have_hours_of_its_own_or_nobody() -> None:
    own = {"2027-03-13": ["10:00", "12:00"], "2027-03-14": None, "2027-03-12": ["08:00", "23:59"]}
    days = read(bare(hours={"opens": "09:00", "closes": "18:30", "days": own})).day.hours
    # Ten days but the one of the pour. The day before is open at 10:00 to 12:00 MST = 17:00 to 19:00 UTC, 23 and 21 h
    # before the pour at 16:00 UTC; the day before that until its midnight, 07:00 UTC, 33 h before it.
    assert len(days) == 9
    assert (days[7].opens, days[7].closes) == (-23 * 60, -21 * 60)
    assert days[6].closes == -33 * 60
    # The 14th lasts 23 hours, but nobody is there on it; the 13th lasts 24.
    assert days[7].lasts_min == 1440
    assert read(bare(hours={"opens": "09:00", "closes": "18:30"})).day.hours[8].lasts_min == 1380


def test_a_day_that_no_pour_touches_is_refused_with_the_days_that_it_does() -> None:
    with pytest.raises(Refused) as refused:
        read(bare(hours={"opens": "09:00", "closes": "18:30", "days": {"2027-02-13": None}}))
    assert "it is no day from 2027-03-06 to 2027-03-15" in str(refused.value)


def test_an_instant_within_a_minute_is_the_next_whole_one() -> None:
    noon = datetime(2027, 1, 9, 12, 0, tzinfo=UTC)
    assert to_the_minute(noon) == noon
    assert to_the_minute(noon.replace(second=1)) == to_the_minute(noon.replace(second=59)) == noon.replace(minute=1)


def test_within_a_minute_nothing_lies_before_anything() -> None:
    minute = datetime(2027, 3, 14, 16, 0, tzinfo=UTC)
    assert not is_before(minute, minute.replace(second=40))
    assert is_before(minute.replace(second=59), minute.replace(minute=1))
    assert not is_before(minute.replace(minute=1), minute)
