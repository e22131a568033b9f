"""The cautions of a day and its plan as people read them, and those that hold it back."""

import json

import pytest

from casting.calc.values.marked_text import FROM_MEMORY
from casting.models import Alloy, CastingDay, CautionCleared, Investment, Kiln, Plan, SafetyRecord
from casting.papers.sheets.day_plan import day_plan_html
from casting.papers.sheets.teacher_safety import teacher_safety_html
from casting.presenters.cautions import cautions_of_day, safety_record_of, to_settle
from casting.presenters.opened_plan import OpenedPlan
from casting.services.demo import load_demo
from tests.casting.papers.printed import job_of
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.factories import CourseFactory


def record(day, **facts):
    SafetyRecord.objects.filter(school=day.course.school).update(**facts)


@pytest.fixture
def plan(day, teacher, student):
    handed_in(day, student)
    return make_plan(day, teacher)


def ids(cautions):
    return {caution.id for caution in cautions}


def test_a_day_with_a_complete_record_is_not_held_back(plan):
    assert OpenedPlan(plan).held_back == ()
    assert {"R-21", "R-11", "R-29", "R-24"} <= ids(OpenedPlan(plan).cautions)


def test_the_demo_day_is_not_held_back(school, teacher):
    day = load_demo(school, CourseFactory(school=school))
    assert OpenedPlan(make_plan(day, teacher)).held_back == ()
    assert to_settle(safety_record_of(school)) == []


def test_a_perfect_day_prints_no_warn_though_the_kiln_runs_alone_by_night(school, teacher):
    day = load_demo(school, CourseFactory(school=school))
    assert safety_record_of(school).hours_unattended
    # somebody is there for the top heat, at night: the school is open then
    SafetyRecord.objects.filter(school=school).update(top_heat_watched=True)
    CastingDay.objects.filter(pk=day.pk).update(opens="00:00", closes="23:59", on_call="")
    day.refresh_from_db()
    plan = make_plan(day, teacher)
    assert "WARN" not in day_plan_html(job_of(plan)) and "<b>WARN</b>" not in teacher_safety_html(job_of(plan))
    assert "R-20a-say" in ids(OpenedPlan(plan).cautions)
    for fact in ("on_call", "co_alarm", "clear_of_kiln", "top_heat_watched"):
        SafetyRecord.objects.filter(school=school).update(**{fact: None})
        (warned,) = [one for one in OpenedPlan(plan).cautions if one.id == "R-20a"]
        assert warned.level == "WARN" and "WARN" in day_plan_html(job_of(plan))
        SafetyRecord.objects.filter(school=school).update(**{fact: True})


def test_a_school_without_a_record_holds_every_plan_back(plan):
    SafetyRecord.objects.all().delete()
    assert {"R-35", "R-19b", "R-20b", "R-32a"} == ids(OpenedPlan(plan).held_back)


def test_a_stop_of_the_plan_file_holds_it_back(day, teacher, student):
    handed_in(day, student)
    Investment.objects.filter(school=day.course.school).update(water_per_100=46)
    assert ids(OpenedPlan(make_plan(day, teacher)).held_back) == {"N-11-stop"}


@pytest.fixture
def with_copper(day, teacher, student):
    """A plan of a silver band, and of a copper one: 1160 C is too hot for gypsum (R-12-hot), so it is left out."""
    copper = Alloy.objects.get(school=day.course.school, key="copper")
    day.alloys.add(copper)
    handed_in(day, student, alloy=copper)
    handed_in(day, student)
    return make_plan(day, teacher)


def with_file(plan, **changed):
    """The same plan with other values in its file."""
    plan.plan_file = json.dumps(plan.file | changed)
    plan.save()
    return Plan.objects.get(pk=plan.pk)


def test_a_stop_whose_waxes_are_all_left_out_is_told_and_holds_nothing_back(with_copper):
    opened = OpenedPlan(with_copper)
    (stop,) = [one for one in opened.cautions if one.id == "R-12-hot"]
    assert FROM_MEMORY in stop.text
    assert stop.stays_out and len(opened.sheet.left_out) == 1 and opened.held_back == ()
    for page in (day_plan_html(job_of(with_copper)), teacher_safety_html(job_of(with_copper))):
        assert f"<b>STOP</b> {stop.text.replace(FROM_MEMORY, '*')}" in page


def test_it_holds_the_plan_back_while_any_of_its_waxes_is_in_a_flask(with_copper):
    assert ids(OpenedPlan(with_file(with_copper, left_out=[])).held_back) == {"R-12-hot"}


def test_a_stop_in_words_that_no_wax_raises_holds_the_plan_back(with_copper):
    changed = [one | {"text": one["text"].replace("copper", "tin")} for one in with_copper.file["cautions"]]
    assert ids(OpenedPlan(with_file(with_copper, cautions=changed)).held_back) == {"R-12-hot"}


def test_another_stop_still_holds_the_plan_back(with_copper, day, teacher):
    Investment.objects.filter(school=day.course.school).update(water_per_100=46)
    assert ids(OpenedPlan(make_plan(day, teacher)).held_back) == {"N-11-stop"}


def test_gates_of_the_day_hold_no_plan_back(day, plan):
    record(day, leak_test=False, outdoors=True)
    gates = [caution for caution in OpenedPlan(plan).cautions if caution.id in {"R-16b", "R-36"}]
    assert len(gates) == 2 and OpenedPlan(plan).held_back == ()


def test_before_a_plan_all_that_is_offered_is_said(day):
    record(day, melt_extraction=False)
    silver = {caution.text for caution in cautions_of_day(day) if caution.id == "R-01b"}
    day.alloys.add(Alloy.objects.get(school=day.course.school, key="brass"))
    with_brass = {caution.text for caution in cautions_of_day(day) if caution.id == "R-01b"}
    assert silver == set() and len(with_brass) == 1
    assert "R-08" in ids(cautions_of_day(day))  # resin is offered


def test_a_recorded_fan_is_a_check_to_tick_and_no_stop(day, teacher, student):
    brass = Alloy.objects.get(school=day.course.school, key="brass")
    day.alloys.add(brass)
    handed_in(day, student, alloy=brass)
    opened = OpenedPlan(make_plan(day, teacher))
    (fan,) = [one for one in opened.cautions if one.check == "Fume fan running."]
    assert fan.id == "fan-running" and "yellow brass" in fan.text
    record(day, melt_extraction=None)
    (fan,) = [one for one in OpenedPlan(opened.plan).cautions if one.check == "Fume fan running."]
    assert fan.id == "R-01b" and fan.level == "STOP"


def test_the_plan_s_hours_outrank_the_recorded_ones(school, teacher):
    day = load_demo(school, CourseFactory(school=school))
    plan = make_plan(day, teacher)
    SafetyRecord.objects.filter(school=school).update(hours_unattended=0, co_alarm=None, people_near_kiln=False)
    said = {one.id: one.text for one in OpenedPlan(plan).cautions}
    # Demo: kiln on 19:47, school open from 09:00; by hand 4 h 13 + 9 h = 13 h 13 min.
    for rule in ("R-20a", "R-20b"):
        assert "Alone, recorded: 0 h; by this plan 13 h 13 min." in said[rule]
    assert "R-20b" in ids(OpenedPlan(plan).held_back)
    assert not {"R-20a", "R-20b"} & ids(cautions_of_day(day))  # before a plan only the record is known


def test_a_caution_brings_its_signs_in_words(plan):
    (wet,) = [caution for caution in OpenedPlan(plan).cautions if caution.id == "R-21"]
    assert wet.signs == (("W017", "hot surface"),)


def test_a_cleared_row_that_should_not_be_changes_nothing(day, plan):
    (wet,) = [caution for caution in OpenedPlan(plan).cautions if caution.id == "R-21"]
    CautionCleared.objects.create(day=day, caution="R-21", text=wet.text, by="nobody", reason="written past the verb")
    assert all(caution.cleared_by is None for caution in OpenedPlan(plan).cautions)


def test_another_school_s_record_does_not_count(day, plan, other_teacher):
    SafetyRecord.objects.all().delete()
    SafetyRecord.objects.create(school=other_teacher.school, first_aider=True, extinguisher=True, eyewash=True)
    assert "R-35" in ids(OpenedPlan(plan).held_back)


def test_the_students_of_the_class_are_counted_on_the_adults(day, plan):
    record(day, adults=1, students_per_adult=1)
    assert "R-34b" not in ids(OpenedPlan(plan).held_back)
    handed_in(day)  # a second student
    assert "R-34b" in ids(OpenedPlan(plan).held_back)


def test_cautions_take_few_queries(plan, django_assert_max_num_queries):
    with django_assert_max_num_queries(3):
        assert OpenedPlan(plan).cautions


def test_a_plan_that_leaves_the_kiln_alone_asks_for_the_same_facts_as_its_caution(school, teacher):
    day = load_demo(school, CourseFactory(school=school))
    CastingDay.objects.filter(pk=day.pk).update(on_call="")
    day.refresh_from_db()
    plan = make_plan(day, teacher)
    SafetyRecord.objects.filter(school=school).update(hours_unattended=0, on_call=None, clear_of_kiln=None)
    record = safety_record_of(school)
    assert to_settle(record) == []  # by the record alone the kiln is never left
    (caution,) = [one for one in OpenedPlan(plan).cautions if one.id == "R-20a"]
    assert "Not recorded, ask: a named person on call, nothing that burns near the kiln." in caution.text
    asked = to_settle(record, OpenedPlan(plan).cautions)
    assert [question.partition(": is ")[2] for question in asked] == [
        "a named person on call who can be there soon?", "everything that burns kept well away from it?",
    ]  # fmt: skip
    assert all(question in teacher_safety_html(job_of(plan)).replace("&#x27;", "'") for question in asked)


def test_a_kiln_of_the_plan_is_asked_how_hot_it_gets_and_an_unused_one_is_not(day, teacher, student):
    handed_in(day, student)
    used = make_plan(day, teacher).file["firings"][0]["kiln"]
    kilns = Kiln.objects.filter(school=day.course.school)
    kilns.exclude(key=used).update(max_c=None)
    assert "kiln-heat-ask" not in ids(OpenedPlan(make_plan(day, teacher)).cautions)
    kilns.update(max_c=None)
    (asked,) = [one for one in OpenedPlan(make_plan(day, teacher)).cautions if one.id == "kiln-heat-ask"]
    assert asked.level == "WARN" and "732" in asked.text and asked.clearable
    kilns.update(max_c=700)
    plan = OpenedPlan(make_plan(day, teacher))
    assert "kiln-too-cool" in ids(plan.held_back) and "kiln-heat-ask" not in ids(plan.cautions)
