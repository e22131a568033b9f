"""A wax as its student is told of it: its hour, its cost."""

import pytest

from casting.calc.values.day_plan import Place
from casting.presenters.wax_in_flask import hour_of


@pytest.mark.parametrize(
    ("x_mm", "y_mm", "hour"),
    [
        (0.0, 14.0, "12 o'clock"), (14.0, 0.0, "3 o'clock"), (0.0, -14.0, "6 o'clock"), (-14.0, 0.0, "9 o'clock"),
        (12.124, -7.0, "4 o'clock"), (-12.124, -7.0, "8 o'clock"), (-1.2, 14.0, "12 o'clock"), (0.4, 0.0, "centre"),
    ],
)  # fmt: skip
def test_a_place_is_told_as_an_hour_with_12_at_the_notch(x_mm, y_mm, hour):
    assert hour_of(Place(x_mm, y_mm, 0.0)) == hour
