"""The list of casting days, and announcing one."""

import datetime as dt
import re
from html import unescape
from types import SimpleNamespace

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from casting.forms import days as forms
from casting.models import Alloy, CastingDay
from casting.presenters.formats import stamp
from casting.services.stock import stock_school
from school.models import Role
from tests.casting_factories import DayFactory, handed_in
from tests.conftest import client_of_teacher
from tests.factories import CourseFactory, PersonFactory


@pytest.fixture
def typed(course, monkeypatch):
    """A day in May 2030 at 10:00, in two metals, typed on 1 March 2030 at noon in UTC."""
    now = dt.datetime(2030, 3, 1, 12, tzinfo=dt.UTC)
    monkeypatch.setattr(forms, "timezone", SimpleNamespace(now=lambda: now))
    stock_school(course.school)
    alloys = Alloy.objects.filter(school=course.school, key__in=["sterling", "si-bronze"])
    return {
        "course": course.pk,
        "pour_on": "2030-05-04",
        "pour_time": "10:00",
        "alloys": [alloy.pk for alloy in alloys],
        "opens": "09:00",
        "closes": "18:30",
        "all_sizes": "on",
        "all_kilns": "on",
    }


def announce(client, values):
    return client.post(reverse("new_day"), values)


def test_a_day_is_announced_on_the_school_s_clock(teacher_client, typed):
    announce(teacher_client, typed)
    day = CastingDay.objects.get()
    # 10:00 in New York in May is four hours behind UTC (IANA time zone data).
    assert day.pour_at == dt.datetime(2030, 5, 4, 14, tzinfo=dt.UTC)
    assert day.alloys.count() == 2
    assert "4 May 2030, 10:00" in teacher_client.get(reverse("days")).content.decode()


def test_a_helper_is_not_offered_to_announce_another(school, day, teacher_client):
    helper = client_of_teacher(PersonFactory(school=school, role=Role.HELPER))
    seen = [client.get(reverse("days")).content.decode() for client in (teacher_client, helper)]
    assert ["Announce another like this" in page for page in seen] == [True, False]


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        # The clocks of New York go forward on 10 March and back on 3 November 2030 (IANA data).
        ({"pour_on": "2030-03-10", "pour_time": "02:30"}, "there is no 02:30"),
        ({"pour_on": "2030-11-03", "pour_time": "01:30"}, "show 01:30 twice"),
        ({"pour_on": "2020-05-04"}, "That pour is past"),
        ({"closes_on": "2030-05-05", "closes_time": "10:00"}, "after the first pour"),
        ({"closes_on": "2030-05-03"}, "Give both, the day and the time"),
        # Noon in UTC is 07:00 in New York in winter (IANA data).
        ({"closes_on": "2030-03-01", "closes_time": "06:59"}, "Hand-in would be closed already"),
        ({"pour_on": "2032-03-02"}, "more than two years ahead"),
        ({"pour_on": "2300-05-04"}, "more than two years ahead"),
        ({"pour_time": "08:59"}, "before the studio opens"),
        ({"course": ""}, "Choose the class."),
        ({"pour_on": ""}, "Choose the day."),
        ({"pour_time": ""}, "Write the time of the first pour."),
        ({"closes": ""}, "Give both, when the studio opens"),
        ({"closes": "08:00"}, "close later than it opens"),
        ({"opens": "", "closes": "", "hand_in_until": "13:30"}, "give those too"),
        ({"hand_in_until": "18:31"}, "within the studio's hours"),
        ({"hand_in_until": "08:59"}, "within the studio's hours"),
        ({"alloys": []}, "Offer at least one metal"),
        ({"own0_nobody": "on"}, "Nobody is there on the day of the pour"),
        ({"own0_opens": "10:01", "own0_closes": "17:00"}, "before the studio opens"),
        ({"own1_opens": "09:00"}, "Give both, from when and until when"),
        ({"opens": "", "closes": "", "own1_nobody": "on"}, "Give the usual hours too"),
        ({"pour_time": "25:00"}, "Enter a valid time"),
    ],
)
def test_a_day_that_cannot_be_is_refused(teacher_client, typed, changed, said):
    answer = announce(teacher_client, typed | changed)
    assert answer.status_code == 422
    assert said in unescape(answer.content.decode())
    assert not CastingDay.objects.exists()


@pytest.mark.parametrize("changed", [{"pour_on": "2032-02-29"}, {"pour_time": "09:00"}])
def test_the_last_day_and_the_opening_hour_are_taken(teacher_client, typed, changed):
    assert announce(teacher_client, typed | changed).status_code == 302


def test_the_only_class_is_chosen_already(teacher_client, course):
    chosen = f'<option value="{course.pk}" selected>'
    assert chosen in teacher_client.get(reverse("new_day")).content.decode()
    CourseFactory(school=course.school)
    assert chosen not in teacher_client.get(reverse("new_day")).content.decode()


def test_the_nearest_day_to_come_stands_first(teacher_client, course):
    now = timezone.now()
    far, long_before, near, before = (
        DayFactory(course=course, pour_at=now + dt.timedelta(days=days)) for days in (30, -30, 3, -3)
    )
    assert teacher_client.get(reverse("days")).context["days"] == [near, far, before, long_before]


def test_another_school_s_class_and_metals_cannot_be_taken(teacher_client, typed):
    stranger = CourseFactory()
    stock_school(stranger.school)
    theirs = Alloy.objects.filter(school=stranger.school).values_list("pk", flat=True)[:1]
    assert announce(teacher_client, typed | {"course": stranger.pk}).status_code == 422
    assert announce(teacher_client, typed | {"alloys": list(theirs)}).status_code == 422


@pytest.mark.parametrize("name", ["days", "new_day"])
def test_the_cast(name, teacher_client, student_client, stranger_client, db):
    assert teacher_client.get(reverse(name)).status_code == 200
    assert student_client.get(reverse(name)).status_code == 302
    assert stranger_client.get(reverse(name)).status_code == 302


def test_another_school_s_days_are_not_listed(other_teacher_client, day):
    assert day.course.name not in other_teacher_client.get(reverse("days")).content.decode()


def test_twenty_days_cost_no_more_queries_than_one(teacher_client, course):
    DayFactory(course=course)
    with CaptureQueriesContext(connection) as one:
        teacher_client.get(reverse("days"))
    for _ in range(19):
        DayFactory(course=course)
    with CaptureQueriesContext(connection) as twenty:
        teacher_client.get(reverse("days"))
    assert len(twenty) == len(one)


def test_a_day_has_hours_of_its_own_and_a_person_on_call(teacher_client, typed):
    more = {"own0_opens": "08:00", "own0_closes": "17:00", "own1_nobody": "on", "on_call": "Marit Oslund, 555 0142"}
    assert announce(teacher_client, typed | more | {"pour_time": "08:30"}).status_code == 302
    day = CastingDay.objects.get()
    assert day.on_call == "Marit Oslund, 555 0142"
    assert day.to_day()["hours"]["days"] == {"2030-05-04": ["08:00", "17:00"], "2030-05-03": None}
    page = teacher_client.get(reverse("change_day", args=[day.pk])).content.decode()
    assert 'value="08:00"' in page and "Marit Oslund, 555 0142" in page


@pytest.fixture
def before(course):
    """A day with hours, somebody on call, one metal and one kiln; a day of its own hours, a mix that was measured."""
    day = DayFactory(
        course=course,
        opens=dt.time(9),
        closes=dt.time(18, 30),
        hand_in_until=dt.time(13),
        on_call="Marit Oslund, 555 0142",
        kilns_used=["k2"],
        gloss_off_min=8.5,
    )
    CastingDay.objects.filter(pk=day.pk).update(own_hours={day.pour_local().date().isoformat(): ["08:00", "17:00"]})
    day.alloys.set(Alloy.objects.filter(school=course.school, key="sterling"))
    return day


def filled_in(answer):
    form = answer.context["form"]
    return {name: form[name].value() for name in form.fields}


def test_a_new_day_starts_with_what_the_last_one_had_but_its_date(teacher_client, before):
    answer = teacher_client.get(reverse("new_day"))
    typed = filled_in(answer)
    assert (typed["opens"], typed["closes"], typed["hand_in_until"]) == (dt.time(9), dt.time(18, 30), dt.time(13))
    assert typed["on_call"] == "Marit Oslund, 555 0142" and typed["pour_time"] == before.pour_local().time()
    assert typed["alloys"] == [Alloy.objects.get(school=before.course.school, key="sterling").pk]
    assert (typed["all_sizes"], typed["all_kilns"], typed["kilns_used"]) == (True, False, ["k2"])
    assert not typed["pour_on"] and not typed["closes_on"] and not typed["closes_time"]
    assert not typed["own0_opens"] and "gloss_off_min" not in typed
    page = re.sub(r"\s+", " ", answer.content.decode())
    assert f"Filled in from the casting day of {stamp(before.pour_local())}, {before.course.name}" in page


def test_the_first_day_of_a_school_starts_with_its_one_class_and_the_metals_it_offers(teacher_client, course):
    stock_school(course.school)
    answer = teacher_client.get(reverse("new_day"))
    typed = filled_in(answer)
    assert not typed["opens"] and "Filled in from" not in answer.content.decode()
    offered = Alloy.objects.filter(school=course.school, offered=True)
    assert typed["course"] == course.pk and set(typed["alloys"]) == {metal.pk for metal in offered}
    assert not typed["pour_on"] and not typed["pour_time"]


def test_another_day_like_one_is_announced_without_its_waxes(teacher_client, before):
    handed_in(before)
    CourseFactory(school=before.course.school)
    DayFactory(course=before.course)
    again = reverse("new_day") + f"?like={before.pk}"
    assert again in teacher_client.get(reverse("days")).content.decode()
    typed = filled_in(teacher_client.get(again))
    assert typed["course"] == before.course.pk and typed["kilns_used"] == ["k2"]
    on = (timezone.now() + dt.timedelta(days=40)).date().isoformat()
    posted = {name: value for name, value in typed.items() if value not in (None, "", False)}
    posted |= {"pour_on": on, "pour_time": "10:00"}
    assert teacher_client.post(again, posted).status_code == 302
    made = CastingDay.objects.latest("pk")
    assert made.pk != before.pk and not made.waxes.exists() and made.kilns_used == ["k2"]
    assert (made.opens, made.on_call, made.own_hours) == (dt.time(9), before.on_call, {})


def test_another_school_s_day_is_no_model(teacher_client, other_teacher_client, before):
    assert other_teacher_client.get(reverse("new_day") + f"?like={before.pk}").status_code == 404
    assert "Filled in from" not in other_teacher_client.get(reverse("new_day")).content.decode()
    assert teacher_client.get(reverse("new_day") + "?like=soon").status_code == 200


def test_a_new_day_begins_with_the_school_s_usual_hours_and_the_last_day_s_win(school, course, teacher_client):
    stock_school(school)
    school.opens, school.closes, school.on_call = dt.time(9), dt.time(18, 30), "Marit Oslund"
    school.save()
    form = teacher_client.get(reverse("new_day")).context["form"]
    assert [form[name].value() for name in ("opens", "closes", "on_call")] == [
        dt.time(9),
        dt.time(18, 30),
        "Marit Oslund",
    ]
    DayFactory(course=course, opens=dt.time(10), closes=dt.time(16), on_call="Odile")
    form = teacher_client.get(reverse("new_day")).context["form"]
    assert [form[name].value() for name in ("opens", "closes", "on_call")] == [dt.time(10), dt.time(16), "Odile"]


def test_a_day_that_was_poured_is_closed_from_the_list(school, day, teacher_client):
    address = reverse("day_state", args=[day.pk])
    assert address not in teacher_client.get(reverse("days")).content.decode()  # its pour is to come
    CastingDay.objects.filter(pk=day.pk).update(pour_at=timezone.now() - dt.timedelta(days=1))
    assert address in teacher_client.get(reverse("days")).content.decode()
    teacher_client.post(address, {"do": "end"})
    assert CastingDay.objects.get(pk=day.pk).ended_at
    assert address not in teacher_client.get(reverse("days")).content.decode()
