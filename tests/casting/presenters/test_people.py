"""People beside a stored plan: its runs in minutes, and who is on call."""

import pytest

from casting.models import CastingDay, Kiln, SafetyRecord
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.people import firings_of, on_call_of
from casting.services.demo import load_demo
from tests.casting.planned import make_plan
from tests.factories import CourseFactory


@pytest.fixture
def plan(school, teacher):
    day = load_demo(school, CourseFactory(school=school))
    Kiln.objects.filter(school=school).update(delayed_start=True)
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
    assert "Tell Imre Valdane, 555 0142: on call for " in texts
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
