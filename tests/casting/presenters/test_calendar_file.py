"""The day as a calendar file, read back with the icalendar library and line by line."""

import datetime as dt
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone
from icalendar import Calendar

from casting.calc.values.mishap import Left, Mishap
from casting.dayfile import day_of
from casting.models import CastingDay, Plan
from casting.presenters.calendar_file import calendar_file, entries_of
from casting.presenters.formats import SchoolUnits
from casting.presenters.mishap_told import ToldMishap
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.plan_reader import plan_sheet_of
from casting.services.flasks import fix_flask
from tests.casting.planned import make_plan
from tests.casting.views.test_flasks import store
from tests.casting_factories import handed_in
from tests.days.written_plans import plan_of_24, plan_of_none, plan_of_one


def planned(day, teacher):
    handed_in(day)
    return OpenedPlan(make_plan(day, by=teacher))


def events(opened):
    """The events of a calendar file by their titles, as the library reads them."""
    calendar = Calendar.from_ical(calendar_file(opened))
    return {str(event["summary"]): event for event in calendar.walk("VEVENT")}


def in_zone(day, zone, pour_at):
    """The day moved to another zone's clock."""
    day.course.school.zone = zone
    day.course.school.save()
    CastingDay.objects.filter(pk=day.pk).update(pour_at=pour_at)
    return CastingDay.objects.get(pk=day.pk)


def test_every_event_has_the_time_of_its_step(day, teacher):
    opened = planned(day, teacher)
    steps = {step["do"]: step for step in opened.plan.file["steps"]}
    found = {
        name: (event["dtstart"].dt, event.get("dtend", event["dtstart"]).dt) for name, event in events(opened).items()
    }
    moment = dt.datetime.fromisoformat
    top = max(opened.plan.file["firings"][0]["segments"], key=lambda segment: segment["to_c"])
    wanted = {
        "Hand-in closes": (steps["hand_in_closes"]["at"], steps["hand_in_closes"]["at"]),
        "Mount the waxes": (steps["mount"]["at"], steps["mount"]["until"]),
        "Mix the investment": (steps["mix"]["at"], steps["mix"]["until"]),
        "Kiln 1 on": (steps["kiln_on"]["at"], steps["kiln_on"]["at"]),
        "Kiln 1 at its top heat, 732\u202f°C": (top["reached_at"], top["ends_at"]),
        "First pour": (steps["pour"]["at"], steps["pour"]["until"]),
        "Pick-up: the last flask is cleaned out by now": (steps["divest"]["at"], steps["divest"]["at"]),
    }
    assert found == {name: (moment(begins), moment(ends)) for name, (begins, ends) in wanted.items()}


def test_the_file_keeps_the_lines_of_rfc_5545(day, teacher):
    # RFC 5545, 3.1: lines end in CR LF and have at most 75 octets; 3.6.1: UID and DTSTAMP in every event.
    day.course.school.name = "Escuela de joyería, taller 2; planta baja " + "é" * 60
    day.course.school.save()
    text = calendar_file(planned(day, teacher))
    assert text.startswith(b"BEGIN:VCALENDAR\r\n") and text.endswith(b"END:VCALENDAR\r\n")
    lines = text.split(b"\r\n")
    assert max(len(line) for line in lines) <= 75 and not any(b"\n" in line or b"\r" in line for line in lines)
    number = lines.count(b"BEGIN:VEVENT")
    assert number == 7
    assert (
        sum(line.startswith(b"UID:") for line in lines) == sum(line.startswith(b"DTSTAMP:") for line in lines) == number
    )
    event = Calendar.from_ical(text).walk("VEVENT")[0]
    assert event["location"] == day.course.school.name


def test_what_is_lost_is_told_beside_the_pours_and_a_day_without_any_is_cancelled(monkeypatch):
    """Eight flasks: A is poured and H is lost; then all are lost, before their kiln goes on."""
    opened = OpenedPlan(Plan(revision=1))
    plan, file = plan_of_24()
    states = {flask["label"]: "invested" for flask in plan["flasks"]}
    lost = ToldMishap(Mishap.CRACKED, Left.UNPOURED, dt.datetime(2027, 3, 14, 8, 40, tzinfo=dt.UTC))

    def entries(on_bench, mishaps):
        sheet = plan_sheet_of(plan, day_of(file), on_bench=on_bench, mishaps=mishaps)
        monkeypatch.setattr(OpenedPlan, "sheet", sheet)
        monkeypatch.setattr(OpenedPlan, "units", SchoolUnits())
        return {entry.key: entry for entry in entries_of(opened)}

    some = entries(states | {"A": "poured"}, {"H": lost})
    assert [line[-1] for line in some["pour"].note.split("\n")[:-1]] == list("BCDEFG")
    assert some["pour"].note.split("\n")[-1] == "H: lost at 08:40: cracked; not poured"
    fair = entries(states, {})
    assert "lost" not in fair["pour"].note and some["pour"].until < fair["pour"].until
    none = entries(states, dict.fromkeys(states, lost))
    assert {key for key, one in none.items() if one.cancelled} == {"pour", "kiln/k1", "top/k1"}
    assert not any(one.cancelled for one in (*some.values(), *fair.values()))


@pytest.mark.parametrize("zone", ["America/Denver", "Asia/Kathmandu", "Australia/Lord_Howe", "America/St_Johns"])
def test_the_zone_is_in_the_file_and_says_what_the_zone_data_say(day, teacher, zone):
    day = in_zone(day, zone, dt.datetime(2027, 4, 4, 18, 0, tzinfo=dt.UTC))
    calendar = Calendar.from_ical(calendar_file(planned(day, teacher)))
    (written,) = calendar.walk("VTIMEZONE")
    assert written["tzid"] == zone
    clock = written.to_tz()
    for event in calendar.walk("VEVENT"):
        at = event["dtstart"].dt
        if at.tzinfo is dt.UTC:
            continue
        # The offset by the file's own zone beside that of the zone database.
        bare = at.replace(tzinfo=None)
        assert bare.replace(tzinfo=clock).utcoffset() == bare.replace(tzinfo=ZoneInfo(zone)).utcoffset(), at


def test_a_time_that_comes_twice_is_the_right_one(day, teacher):
    # Madrid, 31 October 2027: 03:00 summer time is 02:00 winter time. 01:20 UTC is 02:20 for the second time.
    day = in_zone(day, "Europe/Madrid", dt.datetime(2027, 10, 31, 1, 20, tzinfo=dt.UTC))
    text = calendar_file(planned(day, teacher)).decode()
    assert "DTSTART:20271031T012000Z" in text
    # An hour earlier is 02:20 for the first time: on the zone's clock RFC 5545 reads it so.
    CastingDay.objects.filter(pk=day.pk).update(pour_at=dt.datetime(2027, 10, 31, 0, 20, tzinfo=dt.UTC))
    again = OpenedPlan(make_plan(CastingDay.objects.get(pk=day.pk), by=teacher))
    assert "DTSTART;TZID=Europe/Madrid:20271031T022000" in calendar_file(again).decode()
    assert events(again)["First pour"]["dtstart"].dt.astimezone(dt.UTC) == dt.datetime(
        2027, 10, 31, 0, 20, tzinfo=dt.UTC
    )


def test_a_plan_made_again_replaces_its_events(day, teacher):
    first = planned(day, teacher)
    again = OpenedPlan(make_plan(day, by=teacher))
    before, after = events(first), events(again)
    assert [event["uid"] for event in before.values()] == [event["uid"] for event in after.values()]
    assert {int(event["sequence"]) for event in before.values()} == {1}
    assert {int(event["sequence"]) for event in after.values()} == {2}
    assert len({event["uid"] for event in after.values()}) == len(after)


def test_the_same_plan_is_the_same_bytes(day, teacher):
    opened = planned(day, teacher)
    assert calendar_file(opened) == calendar_file(OpenedPlan(opened.plan))


def test_entries_come_in_order_with_every_flask_named(day, teacher):
    opened = OpenedPlan(store(day, teacher, plan_of_24()))
    entries = entries_of(opened)
    assert all(one.at <= other.at for one, other in pairwise(entries))
    by_key = {entry.key: entry for entry in entries}
    assert [line[-1] for line in by_key["pour"].note.splitlines()] == [flask.label for flask in opened.sheet.flasks]


def test_what_is_done_is_announced_no_more(day, teacher):
    opened = planned(day, teacher)
    fix_flask(day, "A", "invested", by=teacher, revision=1)
    assert "mix" not in {entry.key for entry in entries_of(OpenedPlan(opened.plan))}
    fix_flask(day, "A", "poured", by=teacher, revision=1, poured_at=timezone.now())
    assert "pour" not in {entry.key for entry in entries_of(OpenedPlan(opened.plan))}


def test_a_plan_without_a_flask_has_no_event(day, teacher):
    assert entries_of(OpenedPlan(store(day, teacher, plan_of_none()))) == ()
    assert b"VEVENT" not in calendar_file(OpenedPlan(store(day, teacher, plan_of_none(), 2)))
    assert len(entries_of(OpenedPlan(store(day, teacher, plan_of_one(), 3)))) >= 5
