"""Numbers on the page: their unit, and the side they are rounded to."""

import datetime as dt
from decimal import Decimal
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from casting.templatetags.bench import (
    about_grams,
    clock_time,
    degrees,
    flask_size,
    grams,
    millimetres,
    on_clock_of,
    outer_size,
)


@pytest.mark.parametrize(
    ("shown", "read"),
    [
        (grams(4.35), "4.35 g"),
        (grams(Decimal("3.2000")), "3.20 g"),
        (grams(34.5301), "34.54 g"),
        (grams(50.0, 1), "50.0 g"),
        (grams(0.1 + 0.2, 1), "0.3 g"),  # 0.30000000000000004 is no reason to round up
        (about_grams(46.01), "47 g"),
        (about_grams(9.31), "9.4 g"),
        (millimetres(33.01), "33.1 mm"),
        (millimetres(Decimal("30.000")), "30 mm"),
        (outer_size(SimpleNamespace(width_mm=22, depth_mm=4.51, height_mm=30)), "22 × 4.6 × 30 mm"),
        (degrees(538), "538 °C"),
        (degrees(538, "F"), "1000 °F"),  # 538 x 1.8 + 32 = 1000.4
        (degrees(704, "F"), "1299 °F"),  # 704 x 1.8 + 32 = 1299.2
        (flask_size({"diameter_mm": 63.5, "height_mm": 76.2}), "63.5 × 76.2 mm"),
        (flask_size(SimpleNamespace(diameter_mm=63.5, height_mm=76.2), "in"), "2.5 × 3 in"),
        (clock_time("2027-03-14T10:00:00-06:00"), "10:00"),
        (clock_time(dt.datetime(2027, 3, 14, 16, tzinfo=dt.UTC)), "16:00"),
    ],
)
def test_a_number_has_its_unit(shown, read):
    assert shown.replace("\u202f", " ") == read


def test_a_time_is_on_the_school_s_clock():
    school = SimpleNamespace(tz=ZoneInfo("America/Denver"))
    # The clocks of Denver went forward that night: six hours behind UTC (IANA time zone data).
    assert on_clock_of(dt.datetime(2027, 3, 14, 16, tzinfo=dt.UTC), school) == "Sun 14 Mar 2027, 10:00"


@given(st.floats(0, 500))
def test_a_weight_is_never_rounded_down(weight_g):
    assert float(grams(weight_g).split("\u202f")[0]) >= weight_g - 1e-8


@given(st.integers(0, 1200))
def test_a_temperature_is_never_rounded_up(temperature_c):
    assert float(degrees(temperature_c, "F").split("\u202f")[0]) <= temperature_c * 1.8 + 32 + 1e-9
