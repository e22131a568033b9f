"""The form of the school's own page."""

import datetime as dt

import pytest
from django.http import QueryDict

from school.forms.school_page import SchoolForm, as_shown, in_unit


def posted(school, **changed):
    data = QueryDict(mutable=True)
    data.update({name: str(value) for name, value in as_shown(school).items()} | changed)
    return SchoolForm(data, school=school)


def test_what_is_left_as_it_was_changes_nothing(school):
    form = posted(school)
    assert form.is_valid(), form.errors
    assert not form.moves_zone and "elevation_m" not in form.columns()
    assert form.columns()["name"] == school.name


def test_a_height_is_shown_in_the_unit_of_the_rulers(school):
    # 12 m / 0.3048 = 39.4 ft
    assert (as_shown(school)["elevation"], as_shown(school)["elevation_unit"]) == (12, "m")
    school.length_unit = "in"
    assert (as_shown(school)["elevation"], as_shown(school)["elevation_unit"]) == (39, "ft")
    school.elevation_m = None
    assert as_shown(school)["elevation"] == ""
    assert in_unit(5500, "ft") == 18045  # 5500 / 0.3048 = 18044.6


@pytest.mark.parametrize(
    ("opens", "closes", "field"),
    [("09:00", "", "closes"), ("18:00", "09:00", "closes"), ("early", "18:00", "opens"), ("", "25:00", "closes")],
)
def test_hours_that_cannot_be_are_refused(school, opens, closes, field):
    assert set(posted(school, opens=opens, closes=closes).errors) == {field}


def test_usual_hours_are_kept_and_may_be_left_out(school):
    form = posted(school, opens="09:00", closes="18:30", on_call="Marit Oslund, 555 0102")
    assert form.is_valid(), form.errors
    kept = form.columns()
    assert (kept["opens"], kept["closes"], kept["on_call"]) == (dt.time(9), dt.time(18, 30), "Marit Oslund, 555 0102")
    assert posted(school).is_valid()
