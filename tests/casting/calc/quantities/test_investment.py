"""Powder, water and slurry by hand; published figures in the reference tables."""

import pytest

from casting.calc.quantities.investment import powder_bare, powder_for, slurry_ml, slurry_ml_per_g, volume_ml, water_for
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


def test_water_is_a_share_of_the_powder():
    assert water_for(283, POWDER) == pytest.approx(283 * POWDER.water_per_100 / 100)
