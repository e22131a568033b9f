"""A student's own times as a calendar file, read back with the icalendar library."""

import datetime as dt

from django.utils import timezone
from icalendar import Calendar

from casting.models import CastingDay
from casting.presenters.own_calendar import own_calendar
from casting.services.flasks import fix_flask
from casting.services.running.mishaps import Met, note_mishap, take_back_mishap
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


def events(day, student):
    calendar = Calendar.from_ical(own_calendar(day, student))
    return {str(event["summary"]): event for event in calendar.walk("VEVENT")}


def test_before_a_plan_there_are_hand_in_and_the_first_pour(day, student):
    day.hand_in_closes_at = day.pour_at - dt.timedelta(hours=20)
    day.save()
    found = events(day, student)
    assert found.keys() == {"Hand-in closes", "First pour"}
    assert found["Hand-in closes"]["dtstart"].dt == day.hand_in_closes_at
    assert found["First pour"]["dtstart"].dt == day.pour_at


def test_after_it_each_flask_with_a_wax_of_theirs_has_its_pour(day, student, classmate, teacher):
    own = handed_in(day, student, what="leaf ring")
    other = handed_in(day, classmate, what="brooch")
    plan = make_plan(day, by=teacher)
    (flask,) = [one for one in plan.file["flasks"] if own.tag in {wax["key"] for wax in one["waxes"]}]
    found = events(day, student)
    title = f"Flask {flask['label']} pours: {own.tag} leaf ring"
    # Hand-in without an hour of its own ends with the first pour, as the day itself says.
    ends = "Hand-in ends with the first pour"
    assert found.keys() == {ends, title, "Pick-up: your last piece is out of its investment by now"}
    assert found[ends]["dtstart"].dt == day.pour_at and not day.hand_in_open(day.pour_at)
    assert found[title]["dtstart"].dt == dt.datetime.fromisoformat(flask["out_at"])
    assert found[title]["sequence"] == 1
    assert other.tag not in str(found) and "brooch" not in str(found)


def test_a_later_plan_replaces_the_events_of_an_earlier(day, student, teacher):
    handed_in(day, student)
    make_plan(day, by=teacher)
    first = events(day, student)
    handed_in(day, student, what="pendant")
    make_plan(day, by=teacher)
    second = events(day, student)
    uids = [{str(event["uid"]) for event in found.values()} for found in (first, second)]
    assert uids[0] <= uids[1] and {int(event["sequence"]) for event in second.values()} == {2}


def test_a_flask_that_is_lost_is_cancelled_by_the_same_event_and_comes_back_when_that_is_taken_back(
    day, student, teacher
):
    own = handed_in(day, student, what="leaf ring")
    make_plan(day, by=teacher)
    fix_flask(day, "A", "invested", by=teacher)
    fair = events(day, student)
    note_mishap(day, Met("cracked", ("A",), "unpoured"), by=teacher)
    lost = events(day, student)
    pour, gone = fair[f"Flask A pours: {own.tag} leaf ring"], lost[f"Flask A is not poured: {own.tag} leaf ring"]
    assert gone["uid"] == pour["uid"] and gone["sequence"] > pour["sequence"] and gone["status"] == "CANCELLED"
    assert "cracked; not poured" in gone["description"] and gone["dtstamp"].dt >= pour["dtstamp"].dt
    # Its only piece is cast again, so that there is nothing to pick up.
    assert [event["status"] for title, event in lost.items() if title.startswith("Pick-up")] == ["CANCELLED"]
    take_back_mishap(day, "cracked", "A", by=teacher)
    back = events(day, student)
    assert back.keys() == fair.keys() and "CANCELLED" not in str(back)
    assert {int(event["sequence"]) for event in back.values()} == {3}
    CastingDay.objects.filter(pk=day.pk).update(closed_at=timezone.now())
    day.refresh_from_db()
    assert not [title for title in events(day, student) if title.startswith("Hand-in")]


def test_the_file_keeps_the_lines_of_rfc_5545(day, student, teacher):
    handed_in(day, student, what="\u00e9" * 80)
    make_plan(day, by=teacher)
    lines = own_calendar(day, student).split(b"\r\n")
    assert max(map(len, lines)) <= 75 and lines[-1] == b""
