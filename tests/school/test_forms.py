"""The forms by which people join, come back and open a class."""

import datetime as dt

import pytest

from school.forms import CameBackForm, ClassCodeForm, CourseForm, JoinForm, SpellingForm
from tests.factories import CourseFactory


@pytest.mark.parametrize("typed", ["tw0o-1i", " TW00 11 ", "tw-00.1l"])
def test_a_code_is_read_as_it_is_stored(typed):
    form = ClassCodeForm({"code": typed})
    assert form.is_valid(), form.errors
    assert form.cleaned_data["code"] == "TW0011"


@pytest.mark.parametrize("typed", ["TW001", "TW00111", "---"])
def test_a_code_of_another_length_is_refused_with_the_length(typed):
    assert ClassCodeForm({"code": typed}).errors["code"] == ["The code has 6 letters and digits."]


def test_a_return_code_has_eight():
    form = CameBackForm({"code": "TW0011", "called": "Sunniva", "return_code": "ABCD-EF"})
    assert form.errors == {"return_code": ["The code has 8 letters and digits."]}


def test_a_name_is_tidied():
    form = JoinForm({"called": "  Sunniva \t Okoro "})
    assert form.is_valid()
    assert form.cleaned_data["called"] == "Sunniva Okoro"


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


def test_only_a_name_with_letters_that_papers_lack_is_asked_for_in_others():
    assert "spelled" not in JoinForm().fields
    for called in ("José", "Łukasz", "Ελένη", "עדה", "Ada 💍"):
        form = JoinForm({"called": called})
        assert form.is_valid() and not form.asks_more and "spelled" not in form.fields, called
    form = JoinForm({"called": "山田 花子"})
    assert form.asks_more and form.missing == "山, 田, 花, 子"
    answered = JoinForm({"called": "山田 花子", "spelled": " "})
    assert answered.is_valid() and not answered.asks_more and answered.cleaned_data["spelled"] == ""


def test_a_spelling_left_on_the_page_is_dropped_where_the_name_now_prints():
    form = JoinForm({"called": "Hanako", "spelled": "花子"})
    assert form.is_valid() and "spelled" not in form.cleaned_data


def test_a_spelling_is_tidied_or_refused():
    assert SpellingForm({"spelled": " Yamada  Hanako"}).is_valid()
    assert "cannot print 花" in SpellingForm({"spelled": "花"}).errors["spelled"][0]
