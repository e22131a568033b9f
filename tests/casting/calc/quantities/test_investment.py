"""Powder, water and slurry by hand; published figures in the reference tables."""

from dataclasses import replace

import pytest

from casting.calc.quantities.investment import (
    powder_bare,
    powder_for,
    slurry_ml,
    slurry_ml_per_g,
    volume_ml,
    water_for,
    water_per_100_of,
)
from casting.calc.values.errors import NotASize
from tests.days.day_input import MIDDLE, a_day

POWDER = a_day([]).investment


def test_a_flask_holds_a_cylinder():
    # pi/4 x 6.35^2 x 6.35 = 201.10 ml
    assert volume_ml(63.5, 63.5) == pytest.approx(201.10, abs=0.005)
    for bad in ((0, 63.5), (63.5, -3)):
        with pytest.raises(NotASize):
            volume_ml(*bad)


def test_slurry_is_powder_and_water_by_volume():
    per_g = 1 / POWDER.specific_gravity + POWDER.water_per_100 / 100 / 0.998
    assert slurry_ml_per_g(POWDER) == pytest.approx(per_g)
    assert slurry_ml(250, POWDER) == pytest.approx(250 * per_g)


def test_the_allowance_comes_on_top_and_powder_goes_up_to_the_gram():
    bare = 201.10 / slurry_ml_per_g(POWDER)
    assert powder_bare(MIDDLE, POWDER) == pytest.approx(bare, rel=1e-4)
    powder_g = powder_for(MIDDLE, POWDER)
    assert isinstance(powder_g, int)
    assert 0 <= powder_g - powder_bare(MIDDLE, POWDER) * (1 + POWDER.allowance_pct / 100) < 1


def test_a_perforated_flask_is_filled_inside_its_sleeve_up_to_its_fill_height():
    holed = replace(MIDDLE, height_mm=101.6, wall="perforated", sleeve_mm=70, sleeve_height_mm=120, fill_mm=95)
    solid = replace(MIDDLE, height_mm=101.6)
    # by hand: pi/4 x 7.0^2 x 9.5 = 365.60 ml, one gram gives 1/2.53 + 0.40/0.998 = 0.79606 ml; x 1.12 = 514.4 g.
    # Solid: pi/4 x 6.35^2 x 10.16 = 321.76 ml, 452.7 g
    assert (powder_for(holed, POWDER), powder_for(solid, POWDER)) == (515, 453)
    assert water_for(515, POWDER) == pytest.approx(206.0)


def test_water_is_a_share_of_the_powder():
    assert water_for(283, POWDER) == pytest.approx(283 * POWDER.water_per_100 / 100)
    assert water_per_100_of(water_for(283, POWDER), 283) == pytest.approx(POWDER.water_per_100)
