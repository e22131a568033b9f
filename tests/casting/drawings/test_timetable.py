"""The timetable: everything on one clock axis."""

import re
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

import pytest

from casting.drawings.timetable import LEFT_MM, RIGHT_MM, WIDTH_MM, Axis, axis_of, draw_timetable
from casting.presenters.plan_reader import read_plan
from tests.days import written_plans
from tests.days.written_plans import as_text, plan_of_24

SVG = "{http://www.w3.org/2000/svg}"


def degrees(celsius):
    return f"{celsius:g} °C"


def test_the_timetable_has_a_row_and_a_pour_for_every_flask(plan):
    root = ElementTree.fromstring(draw_timetable(plan, degrees))
    words = [text.text for text in root.iter(f"{SVG}text")]
    assert [word for word in words if re.fullmatch("[A-H]", word)] == list("ABCDEFGH")
    assert {"10:00", "10:56", "Sat", "Sun"} <= set(words)


def test_the_temperatures_stand_on_the_line(plan):
    root = ElementTree.fromstring(draw_timetable(plan, degrees))
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


def test_a_flask_that_was_invested_days_before_does_not_stretch_the_clock(plan):
    file, day = plan_of_24()
    begun = {"at": written_plans.at(-20_000), "until": written_plans.at(-19_880), "do": "set", "flasks": ["A"]}
    file["steps"].insert(0, begun | {"kiln": None, "say": "Leave flask A alone to set."})
    assert axis_of(read_plan(*as_text(file, day))) == axis_of(plan)


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


def heats_and_line(drawn):
    """Each temperature's box, as an ordinary sans sets it, and points along the kiln's line."""
    root = ElementTree.fromstring(drawn)
    texts = [text for text in root.iter(f"{SVG}text") if "°" in text.text]
    boxes = [(float(one.get("x")), float(one.get("y")), 0.75 * len(one.text)) for one in texts]
    corners = [tuple(map(float, corner.split(","))) for corner in root.find(f"{SVG}polyline").get("points").split()]
    line = [
        (a[0] + (b[0] - a[0]) * nth / 100, a[1] + (b[1] - a[1]) * nth / 100)
        for a, b in pairwise(corners)
        for nth in range(101)
    ]
    midnights = [float(one.get("x1")) for one in root.iter(f"{SVG}line") if one.get("class") == "quiet"]
    return boxes, line, midnights


# At 07:00 after the clocks went back the hold of 371 degrees begins at 23:32 and ends at 00:32: over midnight.
@pytest.mark.parametrize("pour_at", [(2027, 3, 14, 10), (2027, 11, 7, 7), (2027, 11, 7, 10), (2027, 6, 12, 4)])
def test_no_temperature_stands_on_the_kilns_line_or_on_midnight(monkeypatch, pour_at):
    at = datetime(*pour_at, tzinfo=written_plans.ZONE)
    monkeypatch.setattr(written_plans, "POUR_AT", at)
    file, day = plan_of_24()
    sheet = read_plan(*as_text(file, day | {"pour_at": f"{at:%Y-%m-%dT%H:%M}"}))
    for drawn in (draw_timetable(sheet, degrees, curve_mm=34), draw_timetable(sheet, degrees)):
        boxes, line, midnights = heats_and_line(drawn)
        assert len(boxes) == 4 and midnights
        for x, y, half in boxes:
            assert not [point for point in line if abs(point[0] - x) < half and y - 2.2 < point[1] < y]
            assert not [midnight for midnight in midnights if abs(midnight - x) < half]


def with_hours(plan_files, opens="09:00", closes="18:30"):
    file, day = plan_files
    return read_plan(*as_text(file, day | {"hours": {"opens": opens, "closes": closes}}))


def columns(drawn):
    """The light columns of a timetable, each from where to where [mm]."""
    root = ElementTree.fromstring(drawn)
    shaded = [rect for rect in root.iter(f"{SVG}rect") if rect.get("class") == "there"]
    return [(float(rect.get("x")), float(rect.get("x")) + float(rect.get("width"))) for rect in shaded]


def test_hours_in_which_somebody_is_there_are_shaded(plan):
    sheet = with_hours(plan_of_24())
    # The axis runs from Sat 16:00 at UTC-7 to Sun 12:00 at UTC-6, 19 hours; open until 18:30 are 2.5 of them, and from
    # 09:00 after the clocks went forward the last 3.
    wide = WIDTH_MM - LEFT_MM - RIGHT_MM
    evening, morning = columns(draw_timetable(sheet, degrees))
    assert evening == pytest.approx((LEFT_MM, LEFT_MM + wide * 2.5 / 19), abs=0.001)
    assert morning == pytest.approx((LEFT_MM + wide * 16 / 19, LEFT_MM + wide), abs=0.001)
    assert "Bar: somebody is there." in draw_timetable(sheet, degrees)


def test_hours_that_nobody_recorded_are_not_shaded_and_said(plan):
    drawn = draw_timetable(plan, degrees)
    assert columns(drawn) == [] and "Hours when somebody is there: not recorded." in drawn


def test_this_moment_has_a_line_while_the_day_lasts(plan):
    now = datetime(2027, 3, 14, 6, 30, tzinfo=UTC)  # half past eleven at night in Denver
    drawn = draw_timetable(plan, degrees, now=now)
    root = ElementTree.fromstring(drawn)
    (word,) = [text for text in root.iter(f"{SVG}text") if text.text.startswith("now")]
    # 7.5 of 19 hours after 16:00.
    assert word.text == "now 23:30"
    assert float(word.get("x")) == pytest.approx(LEFT_MM + (WIDTH_MM - LEFT_MM - RIGHT_MM) * 7.5 / 19, abs=0.001)
    for far in (now - timedelta(days=1), now + timedelta(days=1), None):
        assert draw_timetable(plan, degrees, now=far) == draw_timetable(plan, degrees)


def now_of(sheet, now):
    """The words of the line of this moment, and where it stands."""
    root = ElementTree.fromstring(draw_timetable(sheet, degrees, now=now))
    words = [text for text in root.iter(f"{SVG}text") if text.text.startswith("now")]
    return [(one.text, float(one.get("x"))) for one in words]


def test_this_moment_is_told_apart_in_the_hour_that_comes_twice(monkeypatch):
    monkeypatch.setattr(written_plans, "POUR_AT", datetime(2027, 11, 7, 7, tzinfo=written_plans.ZONE))
    file, day = plan_of_24()
    sheet = read_plan(*as_text(file, day | {"pour_at": "2027-11-07T07:00"}))
    # In Denver 01:30 comes at 07:30 and, an hour later, at 08:30 UTC.
    first, second = (now_of(sheet, datetime(2027, 11, 7, hour, 30, tzinfo=UTC)) for hour in (7, 8))
    assert [words for words, _x in first + second] == ["now 01:30 (first)", "now 01:30 (second)"]
    hour_mm = (WIDTH_MM - LEFT_MM - RIGHT_MM) / (axis_of(sheet).length / timedelta(hours=1))
    assert second[0][1] - first[0][1] == pytest.approx(hour_mm, abs=0.002)


def test_the_first_and_the_last_moment_of_the_day_have_their_line_and_none_beyond(plan):
    axis = axis_of(plan)
    minute = timedelta(minutes=1)
    start, end = axis.start.astimezone(UTC), axis.end.astimezone(UTC)
    assert now_of(plan, start) == [("now 16:00", LEFT_MM)]
    assert now_of(plan, end) == [("now 12:00", WIDTH_MM - RIGHT_MM)]
    assert now_of(plan, start - minute) == [] == now_of(plan, end + minute)
