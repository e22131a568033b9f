"""The invented class of the demo."""

import datetime as dt

import pytest

from casting.calc.values.enums import Reason
from casting.dayfile import read
from casting.models import CastingDay, Investment, Plan, Search, Wax
from casting.presenters.wax_preview import answers_for
from casting.selectors.day_file import day_file_of
from casting.selectors.flasks import flask_contents
from casting.services.demo import begin_demo_plan, book_demo_metal, demo_visitor, finish_demo_plan, load_demo
from tests.casting.account_days import all_zero
from tests.factories import CourseFactory, StudentFactory


def test_the_demo_is_loaded_once(course):
    day = load_demo(course.school, course, dt.date(2026, 11, 25))
    assert load_demo(course.school, course, dt.date(2027, 2, 1)) == day
    assert CastingDay.objects.count() == 1
    assert 12 <= Wax.objects.count() <= 14


def test_the_demo_pours_on_a_saturday_some_weekends_ahead(course):
    today = dt.date(2026, 11, 25)
    local = load_demo(course.school, course, today).pour_local()
    assert (local.strftime("%A"), f"{local:%H:%M}") == ("Saturday", "10:00")
    assert dt.timedelta(weeks=3) <= local.date() - today < dt.timedelta(weeks=4)


def test_two_classes_have_two_demos(course):
    load_demo(course.school, course)
    other = CourseFactory(school=course.school)
    load_demo(course.school, other)
    assert CastingDay.objects.count() == 2


def test_the_demo_tells_its_story(course):
    day = load_demo(course.school, course)
    waxes = list(day.waxes.standing())
    told = answers_for(day, waxes)
    barred = [wax.what for wax in waxes if told[wax.tag].left_out]
    assert len(barred) == 1 and barred[0].startswith("tall")
    assert {one.left_out.reason for one in told.values() if one.left_out} == {Reason.TOO_TALL}
    assert {wax.alloy.key for wax in waxes} == {"sterling", "si-bronze", "gold-14k"}
    assert sum(wax.pattern.kind == "resin" for wax in waxes) == 1
    assert course.students.filter(waxes=None).count() == 1
    assert read(day_file_of(day)).day.hours


def test_the_safe_of_the_demo_is_stocked_once(course, teacher):
    """Three lots and a price for each metal of the day, as `fixtures/demo_class.json` has them."""
    day = load_demo(course.school, course)
    for _nth in range(2):
        book_demo_metal(course.school, teacher, dt.date(2026, 11, 25))
    lots = {lot.alloy.key: (lot.weight_g, lot.bought_on) for lot in course.school.lots.all()}
    assert lots["sterling"] == (250, dt.date(2026, 11, 13)) and len(lots) == 3
    assert set(course.school.price_lists.get().per_gram) == {alloy.key for alloy in day.alloys.all()} == set(lots)
    assert all_zero(course.school)


@pytest.mark.django_db(transaction=True)
def test_the_demo_is_planned_once_and_one_flask_is_invested(course, teacher):
    day = load_demo(course.school, course)
    assert finish_demo_plan(begin_demo_plan(day, teacher), teacher) == ""
    plan = Plan.objects.get()
    (invested,) = day.states()
    visitor = demo_visitor(course)
    tags = {wax.tag for wax in day.waxes.standing().filter(student=visitor)}
    inside = flask_contents(plan)
    # The visitor's phone shows both: a wax that is invested, and one that can still be changed.
    assert tags & inside[invested] and tags - inside[invested]
    assert begin_demo_plan(day, teacher) is None


def test_a_demo_without_investment_powder_is_not_planned(course, teacher):
    day = load_demo(course.school, course)
    Investment.objects.all().delete()
    assert begin_demo_plan(day, teacher) is None
    assert not Search.objects.exists()


def test_a_plan_that_failed_is_reported(course, teacher):
    day = load_demo(course.school, course)
    failed = Search.objects.create(
        day=day, kind=Search.Kind.PLAN, token="0" * 32, pid=1, state=Search.State.FAILED, sentence="No plan came of it."
    )
    assert finish_demo_plan(failed, teacher) == "No plan came of it."
    assert not day.states()


def test_the_visitor_is_the_first_of_the_name(course):
    load_demo(course.school, course)
    first = demo_visitor(course)
    StudentFactory(course=course, called=first.called)
    assert demo_visitor(course) == first
