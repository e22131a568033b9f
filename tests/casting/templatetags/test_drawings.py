"""The drawings of a plan in a template."""

import pytest
from django.template import Context, Template

from casting.presenters.formats import units_of
from casting.presenters.plan_reader import read_plan
from tests.days.written_plans import as_text, plan_of_24


@pytest.mark.parametrize(
    ("tag", "title", "heat"),
    [
        ("flask_drawing flask units", "Flask A", False),
        ("small_flask_drawing flask units", "Flask A at a third of its size", False),
        ("kiln_shelf_drawing night", "Shelf of kiln k1", False),
        ("kiln_shelf_drawing night units", "Shelf of kiln k1", True),
        ("kiln_map_drawing night", "Shelf of kiln k1", False),
        ("timetable_drawing plan units", "Timetable from the first mix", True),
    ],
)
def test_a_tag_draws_what_it_names_with_temperatures_where_units_are_given(school, tag, title, heat):
    plan = read_plan(*as_text(*plan_of_24()))
    values = {"flask": plan.flasks[0], "night": plan.kilns[0], "plan": plan, "units": units_of(school)}
    drawn = Template("{% load drawings %}{% " + tag + " %}").render(Context(values))
    assert f"<title>{title}" in drawn
    assert ("538" in drawn) is heat
