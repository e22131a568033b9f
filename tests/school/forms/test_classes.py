"""The form that opens a class."""

import datetime as dt

from school.forms.classes import CourseForm
from tests.factories import CourseFactory


def test_a_class_is_open_to_the_end_of_its_last_day(school):
    # Midnight in New York in summer is 04:00 UTC.
    form = CourseForm({"name": "Rings", "last_day": "2999-06-30"}, school=school)
    assert form.is_valid(), form.errors
    assert form.open_until().astimezone(dt.UTC) == dt.datetime(2999, 7, 1, 4, tzinfo=dt.UTC)


def test_another_school_may_have_a_class_of_that_name(school, course):
    other = CourseFactory(name="Signets")
    last = {"last_day": "2999-06-30"}
    assert CourseForm({"name": other.name, **last}, school=school).is_valid()
    assert "name" in CourseForm({"name": course.name, **last}, school=school).errors
