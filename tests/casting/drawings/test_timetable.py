"""The timetable and the firing curve on one clock axis."""

import re
from datetime import UTC, datetime, timedelta
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

import pytest

from casting.drawings.timetable import LEFT_MM, RIGHT_MM, WIDTH_MM, Axis, axis_of, draw_firing, draw_timetable

SVG = "{http://www.w3.org/2000/svg}"


def degrees(celsius):
    return f"{celsius:g} °C"


def test_the_timetable_has_a_row_and_a_pour_for_every_flask(plan):
    root = ElementTree.fromstring(draw_timetable(plan, degrees))
    words = [text.text for text in root.iter(f"{SVG}text")]
    assert [word for word in words if re.fullmatch("[A-H]", word)] == list("ABCDEFGH")
    assert {"10:00", "10:56", "Sat", "Sun"} <= set(words)


def test_the_temperatures_stand_on_the_line(plan):
    root = ElementTree.fromstring(draw_firing(plan.kilns[0], plan, degrees))
    words = [text.text for text in root.iter(f"{SVG}text")]
    assert [word for word in words if "°" in word] == ["149 °C", "371 °C", "732 °C", "538 °C"]


def test_the_clock_runs_true_over_the_change(plan):
    axis = axis_of(plan)
    # From 16:00 at UTC-7 to 12:00 at UTC-6 are 19 hours, so an hour is a 19th of the axis;
    # 10:00 at UTC-6 comes 17 hours after the start.
    assert axis.length.total_seconds() / 3600 == 19
    share = (axis.x(plan.pour_at) - LEFT_MM) / (WIDTH_MM - LEFT_MM - RIGHT_MM)
    assert share == pytest.approx(17 / 19)


def test_ticks_are_local_hours_with_none_in_the_hour_that_does_not_exist(plan):
    hours = [tick.hour for tick in axis_of(plan).ticks()]
    assert hours == [16, 18, 20, 22, 0, 4, 6, 8, 10, 12]


def axis_in(zone, start, end):
    return Axis(*(datetime.fromisoformat(at).replace(tzinfo=UTC).astimezone(ZoneInfo(zone)) for at in (start, end)))


@pytest.mark.parametrize(
    ("zone", "start", "hours"),
    [
        # 02:00 comes at 00:00 and at 01:00 UTC; it is named once.
        ("Europe/Madrid", "2027-10-30T22:00", [0, 1, 2, 3, 4, 5]),
        # From UTC+11 to UTC+10:30 at 15:00 UTC: whole hours by the clock are half hours in UTC after it.
        ("Australia/Lord_Howe", "2027-04-03T13:00", [0, 1, 2, 3, 4, 5]),
    ],
)
def test_an_hour_that_comes_twice_has_one_label(zone, start, hours):
    end = (datetime.fromisoformat(start) + timedelta(hours=6)).isoformat()
    assert [tick.hour for tick in axis_in(zone, start, end).ticks()] == hours


def test_thin_and_thick_lines_have_a_key(plan):
    assert "Thick line: in the kiln." in draw_timetable(plan, degrees)
