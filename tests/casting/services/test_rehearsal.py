"""The rehearsal: the invented class with a school's own things, apart from its classes."""

import pytest

from casting.models import Alloy, CastingDay, Plan, Search, Wax
from casting.selectors.rehearsal import rehearsal_day
from casting.services import searches
from casting.services.rehearsal import rehearse, remove_rehearsal
from casting.services.stock import stock_school
from school.join import find_course
from school.models import Course, Student


@pytest.fixture
def rehearsed(teacher):
    stock_school(teacher.school)
    return searches.settle(rehearse(teacher))


def test_the_invented_class_is_planned_with_what_the_school_has(rehearsed, school):
    assert rehearsed.state == Search.State.KEPT
    day = rehearsal_day(school)
    # fixtures/demo_class.json: 10 students hand in 13 waxes.
    assert (day.course.students.count(), day.waxes.count()) == (10, 13)
    assert Plan.objects.latest_of(day).file["flasks"]
    assert day.on_call == ""


def test_none_of_it_enters_the_school_s_classes(rehearsed, teacher, course):
    assert list(Course.objects.of(teacher)) == [course]
    assert not CastingDay.objects.listed(teacher).exists()
    assert find_course(rehearsed.day.course.code, rehearsed.begun_at) is None


def test_rehearsed_again_there_is_one(rehearsed, teacher):
    searches.settle(rehearse(teacher))
    assert Course.objects.filter(is_rehearsal=True).count() == 1
    assert Wax.objects.count() == 13


def test_removed_nothing_is_left(rehearsed, school, day, student):
    remove_rehearsal(school)
    assert list(CastingDay.objects.all()) == [day]
    assert list(Student.objects.all()) == [student]
    assert not Search.objects.exists()


def test_a_metal_that_is_not_offered_gives_way_and_a_class_of_that_name_keeps_it(teacher, course):
    stock_school(teacher.school)
    Alloy.objects.exclude(key="sterling").update(offered=False)
    course.name = "Rehearsal (invented class)"
    course.save()
    day = searches.settle(rehearse(teacher)).day
    assert {wax.alloy.key for wax in day.waxes.select_related("alloy")} == {"sterling"}
    assert day.course.name == "Rehearsal (invented class) 2"
