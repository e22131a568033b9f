"""Water, against the equation of the international association for its properties."""

from __future__ import annotations

import pytest
from iapws import IAPWS95

from casting.calc.quantities.investment import WATER_G_PER_ML
from tests.reference.rows import Row, checks

ATMOSPHERE_MPA = 0.101325


@checks("water", "WA-RHO")
def test_density_of_water(row: Row):
    # computed: IAPWS-95 (CoolProp 8.0.0 and iapws 1.5.5 agree)
    row.check(IAPWS95(T=row.inputs["temperature_C"] + 273.15, P=ATMOSPHERE_MPA).rho)


@checks("water", "WA-PS")
def test_pressure_at_which_water_boils(row: Row):
    # computed: IAPWS-95
    row.check(IAPWS95(T=row.inputs["temperature_C"] + 273.15, x=0).P * 1e6)


@checks("water", "WA-TB")
def test_temperature_at_which_water_boils(row: Row):
    # computed: IAPWS-95
    row.check(IAPWS95(P=row.inputs["absolute_mbar"] * 1e-4, x=0).T - 273.15)


@pytest.mark.parametrize("room_c", [18, 20, 22, 24, 25])
def test_the_water_of_the_powder_sum_is_that_of_any_workroom(room_c: int):
    # computed: IAPWS-95; a millilitre and its weight may be swapped to 0.3 % (note of row WA-ML-001)
    real = IAPWS95(T=room_c + 273.15, P=ATMOSPHERE_MPA).rho / 1000
    assert pytest.approx(real, rel=0.003) == WATER_G_PER_ML
