"""The clock on the wall, against the zone data."""

import datetime as dt

import pytest

from casting.calc.values.local_clock import LocalClock
from casting.dayfile import read
from tests.days.example_file import bare

# A first pour on Friday 10:00 in UTC, five hours behind: 05:00; the clocks go back by an hour at 06:00.
BACK = LocalClock(4 * 1440 + 600, ((-9999, -300), (60, -360)))


@pytest.mark.parametrize(
    ("at", "shown"),
    [(-1, "Fri 04:59"), (0, "Fri 05:00 (first)"), (59, "Fri 05:59 (first)"), (60, "Fri 05:00 (second)"),
     (120, "Fri 06:00"), (-301, "Thu 23:59")],
)  # fmt: skip
def test_a_time_that_comes_twice_is_named(at, shown):
    assert BACK.show(at) == shown


def test_a_span_says_its_day_once():
    assert BACK.show_span(-60, -30) == "Fri 04:00 to 04:30"
    assert BACK.show_span(-310, -30) == "Thu 23:50 to Fri 04:30"
    assert BACK.show_span(-30, -30) == "Fri 04:30"


def test_a_later_pour_has_the_same_clock():
    assert BACK.later(100).show(-41) == BACK.show(59)


@pytest.mark.parametrize("zone", ["America/Denver", "Australia/Lord_Howe", "Asia/Kathmandu"])
@pytest.mark.parametrize("pour_on", ["2027-03-14", "2027-11-07", "2027-04-04", "2027-10-03"])
def test_it_shows_what_the_zone_data_say(zone, pour_on):
    day = read(bare(timezone=zone, pour_at=f"{pour_on}T12:00"))
    for at in range(-8 * 1440, 2 * 1440, 7):
        local = (day.pour_at.astimezone(dt.UTC) + dt.timedelta(minutes=at)).astimezone(day.zone)
        assert day.day.clock.show(at).startswith(f"{local:%a %H:%M}")
