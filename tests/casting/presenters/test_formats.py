"""Figures as people read them."""

from datetime import UTC, datetime

import pytest

from casting.calc.values.day_input import FlaskSize
from casting.presenters import formats
from casting.presenters.formats import SchoolUnits
from casting.units import Mass, Temperature

INCHES = SchoolUnits(Mass.TROY_OUNCE, Temperature.FAHRENHEIT)
METRIC = SchoolUnits()


def size(diameter_mm, height_mm):
    return FlaskSize("x", diameter_mm, height_mm, diameter_mm + 4, 1, 10, 24, 3, 16, 4)


def test_a_charge_is_shown_as_the_scale_reads():
    assert formats.to_weigh(50.0) == "50.0"
    assert formats.to_weigh(50.25) == "50.25"


def test_what_a_float_lost_is_not_cut_off():
    # 15 x 10.36 / 10.36 is 14.999999999999998 in binary.
    assert formats.grams(15 * 10.36 / 10.36).startswith("15.00")


def test_other_units_are_rounded_up():
    # A troy ounce is 31.1034768 g, by definition: 50 / 31.1034768 = 1.60754.
    assert formats.other_weight(50.0, INCHES).startswith("1.608")
    assert formats.other_weight(50.0, METRIC) == ""


@pytest.mark.parametrize(
    ("celsius", "fahrenheit"),
    # F = C x 9 / 5 + 32: 538 is 1000.4 and 732 is 1349.6; never shown hotter than planned.
    [(538, "1000"), (732, "1349"), (0, "32")],
)
def test_a_temperature_is_never_shown_hotter(celsius, fahrenheit):
    assert formats.degrees_number(celsius, INCHES) == fahrenheit


def test_a_ramp_is_a_difference_and_takes_no_32():
    # 167 x 9 / 5 = 300.6, rounded down.
    assert formats.ramp(167, INCHES).startswith("300")
    assert formats.ramp(167, METRIC).startswith("167")


def test_a_flask_in_quarters_of_an_inch_is_told_so():
    assert formats.flask_size(size(63.5, 76.2), INCHES) == "2½ × 3 in"
    assert formats.flask_size(size(63.5, 76.2), METRIC).startswith("63.5 × 76.2")


def test_a_flask_that_is_no_quarter_stays_in_mm():
    assert formats.flask_size(size(60, 80), INCHES).startswith("60 × 80")


def test_clearances_are_rounded_down():
    assert formats.decimals_down(6.39, 1) == "6.3"
    assert formats.decimals_down(6.0, 1) == "6.0"
    # Positions are printed to 0.001 mm, so a gap of 6 mm comes out of its layout as 5.9994; a gap of 5.99 is less
    assert formats.decimals_down(5.9994, 1) == "6.0"
    assert formats.decimals_down(5.99, 1) == "5.9"


def test_the_weekday_stands_before_the_time():
    assert formats.day_clock(datetime(2027, 3, 13, 20, 25, tzinfo=UTC)) == "Sat 20:25"


def test_minutes_are_told_in_hours():
    assert [formats.minutes(span) for span in (45, 120, 135)] == ["45 min", "2 h", "2 h 15 min"]


@pytest.mark.parametrize(("value", "written"), [(0.5, "0.5"), (40.0, "40"), (10.36, "10.36"), (100.0, "100")])
def test_a_plain_number_has_no_idle_zeros(value, written):
    assert formats.plain(value) == written
