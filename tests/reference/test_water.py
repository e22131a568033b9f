"""Water and vacuum: the project's air and gauges, with boiling water from the association for its properties."""

from __future__ import annotations

import pytest
from iapws import IAPWS95

from casting.calc.quantities.investment import WATER_G_PER_ML
from casting.calc.quantities.vacuum import Gauge, air_pressure_mbar
from casting.dayfile.rules_file import rulebook
from tests.reference.rows import Row, checks

ATMOSPHERE_MPA = 0.101325
K_AT_0_C = 273.15
MBAR_IN_MPA = 1e4
BELOW_THE_AIR = Gauge("inHg", absolute=False)


def boils_at_mbar(water_c: float) -> float:
    """Pressure at which water of that temperature boils [mbar], by IAPWS-95."""
    return float(IAPWS95(T=water_c + K_AT_0_C, x=0).P) * MBAR_IN_MPA


def boils_at_c(pressure_mbar: float) -> float:
    """Temperature at which water boils under that pressure [C], by IAPWS-95."""
    return float(IAPWS95(P=pressure_mbar / MBAR_IN_MPA, x=0).T) - K_AT_0_C


def air_of(row: Row) -> float:
    """The air of a row [mbar]: as it is given, or as the project has it at the row's height."""
    given_pa = row.inputs.get("barometer_Pa")
    return air_pressure_mbar(row.inputs["altitude_m"]) if given_pa is None else given_pa / 100


@checks("water", "WA-GV")
def test_what_the_gauge_reads_when_water_boils(row: Row):
    # computed: IAPWS-95 (CoolProp 8.0.0 and iapws 1.5.5 agree)
    row.check(BELOW_THE_AIR.reading(boils_at_mbar(row.inputs["temperature_C"]), air_of(row)))


@checks("water", "WA-TG")
def test_how_warm_water_boils_at_a_reading(row: Row):
    # computed: IAPWS-95 (CoolProp 8.0.0 and iapws 1.5.5 agree)
    row.check(boils_at_c(BELOW_THE_AIR.pressure_mbar(row.inputs["gauge_inHg"], air_of(row))))


@checks("water", "WA-AB")
def test_the_pressure_at_a_reading(row: Row):
    # computed: arithmetic
    row.check(BELOW_THE_AIR.pressure_mbar(row.inputs["gauge_inHg"], air_of(row)))


@checks("water", "WA-ALT")
def test_the_most_that_a_gauge_shows_at_a_height(row: Row):
    # computed: ISA atmosphere
    row.check(BELOW_THE_AIR.reading(0, air_of(row)))


@checks("water", "WA-AB22")
def test_what_the_gauge_reads_at_a_height_when_water_boils(row: Row):
    # computed: ISA atmosphere; IAPWS-95 (CoolProp 8.0.0 and iapws 1.5.5 agree)
    row.check(BELOW_THE_AIR.reading(boils_at_mbar(row.inputs["water_C"]), air_of(row)))


@checks("water", "WA-ATB")
def test_how_warm_water_boils_in_the_open(row: Row):
    # computed: ISA atmosphere; IAPWS-95 (CoolProp 8.0.0 and iapws 1.5.5 agree)
    row.check(boils_at_c(air_of(row)))


@checks("water", "WA-ACC")
def test_the_number_of_the_gauge_at_a_height(row: Row):
    # computed: ISA atmosphere
    target_mbar = rulebook().limit("vacuum_absolute_mbar")
    assert target_mbar == row.inputs["absolute_mbar"]
    row.check(BELOW_THE_AIR.reading(target_mbar, air_of(row)))
    # What is printed is the next tenth of an inch on the dial, never less.
    assert 0 <= BELOW_THE_AIR.reading_to_reach(target_mbar, air_of(row)) - float(row.value) <= 0.1 + row.tolerance


@checks("water", "WA-BUB")
def test_how_a_bubble_grows_at_a_reading(row: Row):
    # computed: arithmetic
    row.check(air_of(row) / BELOW_THE_AIR.pressure_mbar(row.inputs["gauge_inHg"], air_of(row)))


@checks("water", "WA-TB-008")
def test_a_mix_from_any_workroom_does_not_boil_at_the_number_of_the_gauge(row: Row):
    # computed: IAPWS-95 (CoolProp 8.0.0 and iapws 1.5.5 agree)
    row.check(boils_at_c(rulebook().limit("vacuum_absolute_mbar")))


@pytest.mark.parametrize("room_c", [18, 20, 22, 24, 25])
def test_the_water_of_the_powder_sum_is_that_of_any_workroom(room_c: int):
    # computed: IAPWS-95; a millilitre and its weight may be swapped to 0.3 % (note of row WA-ML-001)
    real = IAPWS95(T=room_c + K_AT_0_C, P=ATMOSPHERE_MPA).rho / 1000
    assert pytest.approx(real, rel=0.003) == WATER_G_PER_ML
