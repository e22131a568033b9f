"""The standard atmosphere against printed tables, and what gauges of every unit and both kinds read."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from casting.calc.quantities.vacuum import MBAR_IN, SEA_LEVEL_MBAR, STEP, Gauge, air_pressure_mbar

MBAR_IN_PSI = 68.9475729
M_IN_FT = 0.3048
NAMES = {"inHg": "inch_Hg", "mbar": "mbar", "kPa": "kPa", "bar": "bar", "mmHg": "mmHg"}
GAUGES = [Gauge(unit, absolute) for unit in MBAR_IN for absolute in (False, True)]


@pytest.mark.parametrize(
    ("height_ft", "psi"),
    [(-1000, 15.236), (0, 14.696), (1000, 14.175), (5000, 12.230), (7000, 11.341), (10000, 10.108)],
)
def test_the_air_is_that_of_a_printed_table(height_ft, psi):
    # source: engineersedge.com, "Standard Atmospheric Data for Altitude and Temperature", table 1 after NASA (1976);
    # its own formula has five digits, so it is 0.16 mbar high at 5000 ft.
    assert air_pressure_mbar(height_ft * M_IN_FT) == pytest.approx(psi * MBAR_IN_PSI, abs=0.2)


def test_the_air_at_the_top_of_the_lowest_layer():
    # source: U.S. Standard Atmosphere, 1976, table of layers: 22632.1 Pa at 11 km
    assert air_pressure_mbar(11_000) == pytest.approx(226.321, abs=0.01)


@pytest.mark.parametrize("unit", MBAR_IN)
def test_units_are_those_of_a_units_library(unit):
    assert pint.UnitRegistry().Quantity(1, NAMES[unit]).to("mbar").magnitude == pytest.approx(MBAR_IN[unit], rel=1e-6)


@pytest.mark.parametrize(
    ("unit", "relative", "absolute"),
    # By hand at sea level, 1013.25 - 65 = 948.25 mbar: 28.002 inHg, 94.825 kPa, 711.25 mmHg, each to the deeper step.
    # 65 mbar are 1.919 inHg, 6.5 kPa, 48.75 mmHg.
    [("inHg", 28.1, 1.9), ("mbar", 949, 65), ("kPa", 94.9, 6.5), ("bar", 0.95, 0.065), ("mmHg", 712, 48)],
)
def test_the_number_at_sea_level_in_every_unit(unit, relative, absolute):
    assert Gauge(unit, False).reading_to_reach(65, SEA_LEVEL_MBAR) == relative
    assert Gauge(unit, True).reading_to_reach(65, SEA_LEVEL_MBAR) == absolute


@given(st.sampled_from(GAUGES), st.floats(1, 600), st.floats(610, 1100))
def test_a_number_that_is_reached_is_never_short_of_the_vacuum(gauge, target_mbar, air_mbar):
    number = gauge.reading_to_reach(target_mbar, air_mbar)
    reached_mbar = gauge.pressure_mbar(number, air_mbar)
    step_mbar = STEP[gauge.unit] * MBAR_IN[gauge.unit]
    assert target_mbar - step_mbar - 0.01 <= reached_mbar <= target_mbar + 0.01
    assert gauge.reaches(number, target_mbar, air_mbar)
    shallower = number + (1 if gauge.absolute else -1) * STEP[gauge.unit]
    assert not gauge.reaches(shallower, target_mbar, air_mbar)


@given(st.sampled_from(GAUGES), st.floats(0, 1100), st.floats(500, 1100))
def test_reading_and_pressure_are_each_other_s_inverse(gauge, pressure_mbar, air_mbar):
    there = gauge.reading(pressure_mbar, air_mbar)
    assert gauge.pressure_mbar(there, air_mbar) == pytest.approx(pressure_mbar, abs=1e-6)
