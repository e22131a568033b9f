"""A first pour that leaves too little time, and the earliest that would do."""

import json

import pytest

from casting.calc.plan_day import plan_day
from casting.calc.schedule.lateness import TooSoon, poured_later
from casting.dayfile import read
from tests.days.day_file import a_day_file, wax_row


def day_at(now, **changes):
    return read(json.dumps(a_day_file([wax_row("w1")], now=now, **changes))).day


def test_the_earliest_pour_is_later_by_what_is_missing():
    """Mixed at 19:17 for a pour at 10:00 (test_backward); now 20:30, 73 min later."""
    with pytest.raises(TooSoon) as why:
        plan_day(day_at("2027-06-12T20:30"), 10)
    assert (why.value.earliest, why.value.late.what) == (73, ("A",))


def test_a_day_with_time_enough_is_planned():
    assert plan_day(day_at("2027-06-12T19:17"), 10).flasks


def test_a_later_pour_leaves_the_clock_where_it_is():
    day = day_at("2027-06-12T20:30", hours={"opens": "09:00", "closes": "18:30"}, kiln_on_at={"k1": "2027-06-12T20:00"})
    later = poured_later(day, 60)
    assert (later.now, later.kiln_on_at["k1"]) == (day.now - 60, day.kiln_on_at["k1"] - 60)
    assert later.hours[0].opens == day.hours[0].opens - 60
    assert later.hours[0].hand_in_until is None
