"""People beside a stored plan: its runs in minutes, and who is on call."""

import pytest
from django.urls import reverse

from casting.models import CastingDay, Kiln, SafetyRecord
from casting.papers.sheets.kiln_room import kiln_room_html
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.people import firings_of, on_call_of, people_beside
from casting.services.demo import load_demo
from tests.casting.papers.printed import job_of
from tests.casting.planned import make_plan
from tests.factories import CourseFactory


@pytest.fixture
def plan(school, teacher):
    day = load_demo(school, CourseFactory(school=school))
    CastingDay.objects.update(on_call="")
    day.refresh_from_db()
    return make_plan(day, teacher)


def said(plan):
    plan.day.refresh_from_db()
    return {one.id: one for one in OpenedPlan(plan).cautions if one.id.startswith("kiln-")}


def test_runs_are_minutes_from_the_first_pour(plan):
    firings = firings_of(plan.file, OpenedPlan(plan).day)
    # Demo: one kiln goes on at 19:47 and the first pour is at 10:00; by hand 14 h 13 min before it
    assert -853 in {firing.on_at for firing in firings}
    for firing in firings:
        assert firing.segments[-1].cooling and not firing.segments[0].cooling


def test_a_delayed_start_and_a_person_on_call_are_no_warnings(plan):
    SafetyRecord.objects.update(contact="Imre Valdane, 555 0142", on_call=True)
    lines = [one for one in OpenedPlan(plan).cautions if one.id.startswith("kiln-")]
    assert {one.level for one in lines} == {"SAY"}
    texts = " ".join(one.text for one in lines)
    assert " for Fri 19:47: nobody is there then." in texts
    assert "Tell Imre Valdane, 555 0142, to be on call for " in texts
    assert "Fri 19:47 to Sat 09:00, top heat Sat " in texts


@pytest.mark.parametrize("facts", [{"on_call": None}, {"on_call": False}, {"on_call": True, "contact": ""}])
def test_without_a_named_person_the_question_stands(plan, facts):
    SafetyRecord.objects.update(**facts)
    assert said(plan)["kiln-alone"].level == "WARN" and "kiln-alone-say" not in said(plan)


def test_a_day_s_own_person_outranks_the_school_s(plan):
    SafetyRecord.objects.update(on_call=None)
    CastingDay.objects.update(on_call="Marta Lorne, 555 0177")
    assert "Marta Lorne, 555 0177" in said(plan)["kiln-alone-say"].text
    record = SafetyRecord(contact="the office", on_call=True)
    assert on_call_of(CastingDay(on_call="Marta"), record) == "Marta"
    assert on_call_of(CastingDay(), record) == "the office"
    assert on_call_of(CastingDay(), SafetyRecord(contact="the office")) == ""


def test_each_step_that_nobody_is_there_for_has_its_words(plan):
    opened = OpenedPlan(plan)
    people = people_beside(plan.file, opened.day, "Marit, 555 0142")
    beside = {(step.do, f"{step.at:%H:%M}"): people.beside(step) for step in opened.sheet.steps}
    assert beside["kiln_on", "19:47"] == (
        "Nobody there: set a delayed start. Up to 1 h late the first pour stands; later, plan again."
    )
    assert "Nobody there. On call: Marit, 555 0142." in {words for (do, _at), words in beside.items() if do == "hold"}
    # By day somebody is there: the bench has nothing beside it.
    assert {words for (do, _at), words in beside.items() if do in ("mix", "load", "pour", "quench", "mount")} == {""}


def test_the_kiln_sheet_says_at_its_row_who_is_missing_who_is_on_call_and_what_if_late(plan):
    CastingDay.objects.update(on_call="Marit Oslund, 555 0142")
    plan.day.refresh_from_db()
    page = kiln_room_html(job_of(plan))
    assert "Nobody there: set a delayed start. Up to 1 h late the first pour stands" in page
    assert "Nobody there. On call: Marit Oslund, 555 0142." in page
    assert "Somebody must come" not in page


def test_a_kiln_set_by_hand_says_it_at_each_turn(school, teacher):
    day = load_demo(school, CourseFactory(school=school))
    Kiln.objects.update(delayed_start=False, runs_program=False)
    page = kiln_room_html(job_of(make_plan(day, teacher)))
    assert "Nobody there, no delayed start: somebody must come." in page
    assert "Nobody there. Somebody must come to set the next heat. If late: keep each hold&#x27;s full time." in page


def test_a_kiln_sheet_of_a_school_that_is_always_open_has_nobody_missing(school, teacher):
    day = load_demo(school, CourseFactory(school=school))
    CastingDay.objects.update(opens="00:00", closes="23:59", own_hours={})
    day.refresh_from_db()
    assert "Nobody there" not in kiln_room_html(job_of(make_plan(day, teacher)))


def test_the_page_of_the_day_says_it_beside_the_step(plan, teacher_client):
    CastingDay.objects.update(on_call="Marit Oslund, 555 0142")
    address = reverse("day_plan", args=[plan.day_id])
    page = teacher_client.get(address).content.decode()
    assert "Nobody there: set a delayed start. Up to 1 h late" in page and "Nobody there. On call: Marit Oslund" in page
    assert "Outside the school" not in page
    # A plan whose day has somebody there all night has none of it.
    day = plan.day
    CastingDay.objects.update(opens="00:00", closes="23:59", own_hours={})
    day.refresh_from_db()
    make_plan(day, plan.made_by)
    assert "Nobody there" not in teacher_client.get(address).content.decode()
