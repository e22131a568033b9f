"""When somebody is at the school, over a night in which the clocks change."""

import datetime as dt

from casting.presenters.hours_there import there_between
from casting.presenters.plan_reader import read_plan
from tests.days.written_plans import as_text, plan_of_one


def sheet_with(hours):
    file, day = plan_of_one()
    return read_plan(*as_text(file, day | ({"hours": hours} if hours else {})))


def utc(*parts):
    return dt.datetime(*parts, tzinfo=dt.UTC)


def test_the_stretches_are_the_local_hours_cut_to_what_is_asked_for():
    sheet = sheet_with({"opens": "09:00", "closes": "18:30"})
    # Denver goes from UTC-7 to UTC-6 in the night before Sunday 14 March 2027.
    spans = there_between(sheet, utc(2027, 3, 13, 23), utc(2027, 3, 14, 18))
    assert spans == ((utc(2027, 3, 13, 23), utc(2027, 3, 14, 1, 30)), (utc(2027, 3, 14, 15), utc(2027, 3, 14, 18)))
    assert {at.tzinfo for span in spans for at in span} == {sheet.zone}


def test_a_night_has_nobody_and_hours_that_nobody_recorded_are_unknown():
    sheet = sheet_with({"opens": "09:00", "closes": "18:30"})
    assert there_between(sheet, utc(2027, 3, 14, 4), utc(2027, 3, 14, 12)) == ()
    assert there_between(sheet_with(None), utc(2027, 3, 13, 23), utc(2027, 3, 14, 18)) is None
