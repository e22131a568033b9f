"""Every filter and tag that the templates use is in one library."""

from pathlib import Path

import pytest
from django.template import Context, Engine

from casting.presenters.formats import SchoolUnits
from casting.templatetags import drawings, figures
from casting.units import Mass

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
    shown = Engine.get_default().from_string("{% load figures %}{{ g|grams }} {{ g|other_to_weigh:units }}")
    # 1 dwt is 24 grains of 0.06479891 g: 1.55517384 g, so 2 g are 1.2860 dwt, up to 1.29
    assert shown.render(Context({"g": 2.0, "units": SchoolUnits(Mass.PENNYWEIGHT)})) == "2.00\u202fg 1.29\u202fdwt"
