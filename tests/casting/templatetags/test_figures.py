"""Every filter and tag that the templates use is in one library."""

from pathlib import Path

import pytest
from django.template import Context, Engine

from casting.presenters.formats import SchoolUnits
from casting.templatetags import drawings, figures
from casting.units import Mass
from school.models import School

TEMPLATES = Path(__file__).parents[3] / "templates"


@pytest.mark.parametrize("name", sorted(figures.register.filters))
def test_every_filter_is_used(name):
    assert any(f"|{name}" in page.read_text("utf-8") for page in TEMPLATES.rglob("*.html"))


def test_no_two_libraries_name_a_filter_or_tag_alike():
    assert not figures.register.tags.keys() & drawings.register.tags.keys()
    assert not drawings.register.filters


def test_what_is_weighed_out_is_bold_on_the_schools_scale_and_small_in_grams():
    shown = Engine.get_default().from_string("{% load figures %}{% weight g units %}")
    pennyweight = Context({"g": 2.0, "units": SchoolUnits(Mass.PENNYWEIGHT)})
    assert shown.render(pennyweight) == "<b>1.29\u202fdwt</b> <small>2.0 g</small>"
    assert shown.render(Context({"g": 2.0, "units": SchoolUnits()})) == "<b>2.0 g</b>"


def test_a_filter_shows_a_weight_in_a_template():
    shown = Engine.get_default().from_string("{% load figures %}{{ g|grams }} {{ g|to_weigh_on:units }}")
    # 1 dwt is 24 grains of 0.06479891 g: 1.55517384 g, so 2 g are 1.2860 dwt, up to 1.29
    assert shown.render(Context({"g": 2.0, "units": SchoolUnits(Mass.PENNYWEIGHT)})) == "2.00\u202fg 1.29\u202fdwt"


def test_a_wax_is_told_as_it_was_typed_or_in_the_schools_unit_with_its_grams():
    wanted = "{% load figures %}{% wax_weight g school entered unit as wax %}{{ wax }}, {{ g|grams_for:school }}"
    shown = Engine.get_default().from_string(wanted)
    typed = Context({"g": 2.0, "school": School(weight_unit="dwt"), "entered": "1.286", "unit": "dwt"})
    assert shown.render(typed) == "1.286 dwt = 2.00\u202fg, 1.29\u202fdwt (2.00\u202fg)"
    in_grams = Context({"g": 2.0, "school": School(weight_unit="dwt"), "entered": "2.0", "unit": "g"})
    assert shown.render(in_grams) == "1.29\u202fdwt (2.00\u202fg), 1.29\u202fdwt (2.00\u202fg)"
    assert shown.render(Context({"g": 2.0, "school": School()})) == "2.00\u202fg, 2.00\u202fg"
