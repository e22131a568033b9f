"""What the page of a perforated flask says beside a solid one, by hand; a solid one says nothing."""

import pytest

from casting.models import FlaskSize, Kiln
from casting.presenters.perforated import beside_solid
from casting.services.stock import stock_school


@pytest.fixture
def holed(school):
    stock_school(school)
    return FlaskSize(
        school=school, key="own", name="Own", diameter_mm=63.5, height_mm=101.6, count=2,
        wall="perforated", sleeve_mm=70, sleeve_height_mm=120, fill_mm=95,
    )  # fmt: skip


def test_a_perforated_flask_says_its_powder_and_water_beside_a_solid_one(holed):
    text = " ".join(beside_solid(holed)).replace("\u202f", " ")
    assert "70 mm across, up to 95 mm" in text
    # by hand in tests/casting/calc/quantities/test_investment.py
    assert "It takes 515 g of powder and 206.0 g of water; a solid one 453 g and 181.2 g." in text
    assert "charge of metal is that of a solid one" in text and "Vacuum draws through its wall too" in text


def test_a_solid_flask_one_that_is_refused_and_a_kiln_say_nothing(holed):
    holed.fill_mm = 130  # over its sleeve
    assert beside_solid(holed) == []
    holed.wall, holed.sleeve_mm, holed.sleeve_height_mm, holed.fill_mm = "solid", None, None, None
    assert beside_solid(holed) == [] and beside_solid(Kiln(school=holed.school)) == []
