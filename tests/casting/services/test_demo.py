"""The invented class of the demo."""

import datetime as dt

from casting.calc.values.enums import Reason
from casting.dayfile import read
from casting.models import CastingDay, Wax
from casting.presenters.wax_preview import answers_for
from casting.selectors.day_file import day_file_of
from casting.services.demo import load_demo
from tests.factories import CourseFactory


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
