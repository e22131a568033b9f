"""The night that the clocks change: when, by how much, and which of two equal times is meant."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from casting.presenters.clock_change import changes_among, instant
from casting.presenters.formats import clock_time, day_clock

# When the clocks change is published in the tz database; each is worked out here from the zone's rule.
NIGHTS = [
    ("Europe/Madrid", "2027-10-31T01:00", "Sun 03:00 → 02:00, clock back 1 h."),
    ("Europe/Madrid", "2027-03-28T01:00", "Sun 02:00 → 03:00, clock forward 1 h."),
    ("America/Denver", "2027-11-07T08:00", "Sun 02:00 → 01:00, clock back 1 h."),
    ("America/Denver", "2027-03-14T09:00", "Sun 02:00 → 03:00, clock forward 1 h."),
    # Lord Howe goes by half an hour, first Sunday of April and of October.
    ("Australia/Lord_Howe", "2027-04-03T15:00", "Sun 02:00 → 01:30, clock back 30 min."),
    ("Australia/Lord_Howe", "2027-10-02T15:30", "Sun 02:00 → 02:30, clock forward 30 min."),
    # South of the equator the clocks go back in April.
    ("Pacific/Auckland", "2027-04-03T14:00", "Sun 03:00 → 02:00, clock back 1 h."),
]


@pytest.mark.parametrize(("zone", "moment", "said"), NIGHTS)
def test_a_change_is_said_with_both_clocks_to_the_minute(zone, moment, said):
    at = datetime.fromisoformat(moment).replace(tzinfo=UTC)
    night = [at - timedelta(hours=7, minutes=13), at + timedelta(hours=6)]
    (change,) = changes_among(night, ZoneInfo(zone))
    assert change.line.replace("\u00a0", " ").startswith(said)
    assert change.at == change.to == at
    assert change.back == ("back" in said)


def test_a_night_without_a_change_has_no_line():
    zone = ZoneInfo("Europe/Madrid")
    evening = datetime(2027, 10, 23, 16, tzinfo=UTC)
    assert changes_among([evening, evening + timedelta(hours=20)], zone) == ()
    assert changes_among([], zone) == ()


def test_times_that_come_twice_are_told_apart():
    zone = ZoneInfo("Europe/Madrid")
    times = [instant(f"2027-10-31T{text}", zone) for text in ("01:59:00+02:00", "02:05:00+02:00", "02:05:00+01:00")]
    assert [clock_time(at) for at in times] == ["01:59", "02:05 (first)", "02:05 (second)"]
    assert [day_clock(at.astimezone(zone)) for at in times[1:]] == ["Sun 02:05 (first)", "Sun 02:05 (second)"]
    # Their order and the hour between them are those of a stopwatch.
    assert times[2] - times[1] == timedelta(hours=1)


def test_times_of_another_night_carry_no_word():
    for zone, text in [("Europe/Madrid", "2027-10-30T02:05:00+02:00"), ("Europe/Madrid", "2027-03-28T03:05:00+02:00")]:
        assert clock_time(instant(text, ZoneInfo(zone))) == text[11:16]
