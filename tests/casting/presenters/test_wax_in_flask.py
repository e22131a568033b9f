"""A wax as its student is told of it: its hour, its price."""

import pytest

from casting.calc.values.day_plan import Place, TreePlace
from casting.models import Alloy
from casting.presenters.wax_in_flask import hour_of, prices_of
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


@pytest.mark.parametrize(
    ("x_mm", "y_mm", "hour"),
    [
        (0.0, 14.0, "12 o'clock"), (14.0, 0.0, "3 o'clock"), (0.0, -14.0, "6 o'clock"), (-14.0, 0.0, "9 o'clock"),
        (12.124, -7.0, "4 o'clock"), (-12.124, -7.0, "8 o'clock"), (-1.2, 14.0, "12 o'clock"), (0.4, 0.0, "centre"),
    ],
)  # fmt: skip
def test_a_place_is_told_as_an_hour_with_12_at_the_notch(x_mm, y_mm, hour):
    assert hour_of(Place(x_mm, y_mm, 0.0)) == hour


def test_on_a_tree_the_tier_comes_first():
    assert hour_of(TreePlace(14.0, 0.0, 0.0, 30.0, 2)) == "tier 2, 3 o'clock"


def test_a_price_is_the_one_that_was_planned_with(day, teacher):
    handed_in(day)
    plan = make_plan(day, by=teacher)
    Alloy.objects.filter(key="sterling").update(price_per_g=99.0)
    assert prices_of(plan).of("sterling", 10.0).total == 11.0
