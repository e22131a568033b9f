"""Figures as people read them."""

from datetime import UTC, datetime
from decimal import ROUND_CEILING, Decimal
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from casting.presenters import formats
from casting.presenters.formats import SchoolUnits
from casting.units import Length, Mass, Temperature

INCHES = SchoolUnits(Mass.TROY_OUNCE, Temperature.FAHRENHEIT, Length.INCH)
METRIC = SchoolUnits()


def test_what_is_too_much_is_rounded_up_and_what_is_met_is_not():
    assert formats.decimals_up(19.003, 1) == "19.1" and formats.decimals_up(19.002, 1) == "19.0"


def test_a_charge_is_shown_as_the_scale_reads():
    assert formats.to_weigh(50.0) == "50.0"
    assert formats.to_weigh(50.25) == "50.25"


def test_what_a_float_lost_is_not_cut_off():
    # 15 x 10.36 / 10.36 is 14.999999999999998 in binary.
    assert formats.grams(15 * 10.36 / 10.36).startswith("15.00")


@pytest.mark.parametrize(
    ("weight_g", "shown"),
    [
        (Decimal("4.3500"), "4.35"),
        (4.3, "4.30"),
        (0.185, "0.185"),
        (0.004, "0.004"),  # a hundredth would be more than twice as much
        (2.3328, "2.33"),  # 1.5 dwt of 1.55517384 g, as a row keeps it
        (0.0031, "0.0031"),  # 0.002 dwt: something is never nothing
        (500, "500.00"),
    ],
)
def test_what_was_weighed_is_shown_as_it_was_weighed(weight_g, shown):
    assert formats.weighed(weight_g) == f"{shown}\u202fg"


def test_a_sum_is_shown_with_all_that_it_is_reckoned_with():
    assert [formats.in_full(weight_g) for weight_g in (2.3328, 2.1)] == ["2.3328\u202fg", "2.10\u202fg"]


def test_what_is_computed_is_rounded_half_up():
    # 2.3328 / 0.96 x 10.36 = 25.1748; 25.175 is a half
    assert [formats.grams(weight_g) for weight_g in (25.1748, 25.175)] == ["25.17\u202fg", "25.18\u202fg"]


def test_the_hundredths_that_a_sum_lacks_go_to_the_parts_that_were_cut_most():
    # 9.1729 + 7.6337 + 10 = 26.8066, up to 26.81; cut to hundredths they come to 26.80
    assert formats.add_up([9.1729, 7.6337, 10.0], 26.8066) == [Decimal("9.17"), Decimal("7.64"), Decimal("10.00")]
    # 24 x 26.979 = 647.496, up to 647.50: 24 x 26.97 = 647.28 lacks 22 hundredths
    assert formats.add_up([26.979] * 24, 647.496) == [Decimal("26.98")] * 22 + [Decimal("26.97")] * 2
    # parts that a plan file has rounded up already, 26.98 for 26.979: two hundredths too many in 647.50
    assert sum(formats.add_up([26.98] * 24, 647.496)) == Decimal("647.50")
    assert formats.add_up([], 0.0) == []


@given(st.lists(st.floats(0, 5000), min_size=1, max_size=30))
def test_parts_add_up_to_their_printed_sum_and_none_is_off_by_a_hundredth(parts_g):
    exact = sum(Decimal(str(round(part_g, 9))) for part_g in parts_g)
    printed = formats.add_up(parts_g, float(exact))
    assert sum(printed) == Decimal(str(round(float(exact), 9))).quantize(Decimal("0.01"), ROUND_CEILING)
    assert all(abs(float(shown) - part_g) <= 0.01 + 1e-9 for shown, part_g in zip(printed, parts_g, strict=True))


def test_what_is_weighed_out_in_other_units_is_rounded_up_and_what_is_computed_half_up():
    # A troy ounce is 31.1034768 g, by definition: 50 / 31.1034768 = 1.60754, 50.01 / 31.1034768 = 1.60786.
    assert formats.other_to_weigh(50.0, INCHES) == "1.608\u202fozt"
    assert formats.other_weight(50.0, INCHES) == "1.608\u202fozt"
    # 50.02 / 31.1034768 = 1.60818
    assert formats.other_to_weigh(50.02, INCHES) == "1.609\u202fozt"
    assert formats.other_weight(50.02, INCHES) == "1.608\u202fozt"
    assert formats.other_weight(50.0, METRIC) == formats.other_to_weigh(50.0, METRIC) == ""


def test_the_schools_own_scale_is_read_first_with_grams_beside_it():
    assert formats.weight_to_read(50.0, INCHES) == ("1.608\u202fozt", "50.0 g")
    assert formats.weight_to_read(50.0, METRIC) == ("50.0 g", "")
    # 2.345 / 31.1034768 = 0.07539
    assert formats.weighed_on(2.345, INCHES) == "0.075\u202fozt"
    assert formats.weighed_on(2.345, METRIC) == "2.345\u202fg"


@pytest.mark.parametrize(
    ("celsius", "fahrenheit"),
    # F = C x 9 / 5 + 32: 371 is 699.8, 732 is 1349.6, 621 is 1149.8, 482 is 899.6, 538 is 1000.4.
    [(371, "700"), (732, "1350"), (621, "1150"), (482, "900"), (538, "1000"), (0, "32")],
)
def test_a_set_point_reads_as_the_controller_has_it(celsius, fahrenheit):
    assert formats.degrees_number(celsius, INCHES) == fahrenheit


def test_a_limit_that_must_be_reached_is_rounded_up_to_ten():
    # 450 C is 842 F, 275 C is 527 F, 260 C is 500 F
    assert [formats.degrees_at_least(celsius, INCHES)[:-3] for celsius in (450, 275, 260)] == ["850", "530", "500"]
    assert formats.degrees_at_least(275, METRIC) == "275\u202f°C"


def test_a_ramp_is_a_difference_and_takes_no_32():
    # 222 x 9 / 5 = 399.6
    assert formats.ramp(222, INCHES) == "400\u202f°F/h"
    assert formats.ramp(167, METRIC) == "167\u202f°C/h"


def test_so_is_how_far_two_temperatures_are_apart():
    assert (formats.degrees_apart(40, METRIC), formats.degrees_apart(40, INCHES)) == ("40°", "72°")


def test_a_time_is_on_the_school_s_clock():
    school = SimpleNamespace(tz=ZoneInfo("America/Denver"))
    # The clocks of Denver went forward that night: six hours behind UTC (IANA time zone data).
    assert formats.on_clock_of(datetime(2027, 3, 14, 16, tzinfo=UTC), school) == "Sun 14 Mar 2027, 10:00"


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
