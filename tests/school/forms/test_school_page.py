"""The form of the school's own page."""

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
