"""Wax to metal, button and charge. Expected figures are worked by hand from the rules of `tests.days.day_input`."""

from dataclasses import replace

import pytest

from casting.calc.quantities.charge import (
    button_by_diameter,
    button_of,
    charge_limit,
    charge_of,
    fits_crucible,
    largest_charge,
    least_button_pct,
    metal_of,
    metal_of_wax,
    trunk_of,
)
from casting.calc.values.enums import Section
from casting.calc.values.errors import NotAWeight
from tests.days.day_input import BRONZE, MIDDLE, RULES, SMALL, STERLING, TALL, a_day, a_wax


def test_metal_takes_the_place_of_the_wax_volume_for_volume():
    # 3 g / 0.96 = 3.125 ml; 3.125 x 10.36 = 32.375 g
    assert metal_of(3.0, 0.96, 10.36) == pytest.approx(32.375)
    assert metal_of_wax(a_wax("w1"), a_day([a_wax("w1")])) == pytest.approx(32.375)


def test_a_sprue_of_another_material_counts_by_its_own_volume():
    # 2.4 / 0.96 = 2.5 ml of wax and 0.8 / 1.12 = 0.7143 ml of resin: 3.2143 x 10.36 = 33.3 g
    wax = a_wax("w1", wax_g=3.2, sprue_g=0.8, sprue_pattern="resin")
    assert metal_of_wax(wax, a_day([wax])) == pytest.approx(33.3)


@pytest.mark.parametrize(("wax_g", "sprue_g"), [(0, 0), (-1, 0), (3, -0.1), (3, 3.1)])
def test_nonsense_weights_are_refused(wax_g, sprue_g):
    with pytest.raises(NotAWeight):
        metal_of(wax_g, 0.96, 10.36, sprue_g)


def test_a_trunk_is_a_cylinder_of_metal():
    # pi / 4 x 8 x 8 x 60 = 3015.93 mm3 = 3.01593 ml; x 10.36 = 31.245 g
    assert trunk_of(8, 60, 10.36) == pytest.approx(31.245, abs=0.001)


@pytest.mark.parametrize(
    ("size", "alloy", "button_g"),
    [
        (SMALL, STERLING, 10.0),  # 50.8 mm: the row of 51 mm
        (MIDDLE, STERLING, 15.0),  # 63.5 mm: the row of 64 mm
        (TALL, STERLING, 20.0),  # 76.2 mm: the row of 77 mm
        (replace(TALL, diameter_mm=150), STERLING, 35.0),  # beyond the table: the last row
        # The same volume in bronze: 10 / 10.36 = 0.965251 ml, x 8.36 = 8.0695 g
        (SMALL, BRONZE, 8.0695),
    ],
)
def test_the_least_button_goes_by_diameter_and_specific_gravity(size, alloy, button_g):
    assert button_by_diameter(size, alloy, RULES) == pytest.approx(button_g, abs=1e-4)


@pytest.mark.parametrize(
    ("metal_g", "heaviest", "button_g"),
    [
        (80, Section.MEDIUM, 15.0),  # 15 % is 12 g, less than the 15 g of a 64 mm flask
        (120, Section.MEDIUM, 18.0),  # 15 % of 120
        (120, Section.HEAVY, 30.0),  # 25 % of 120
    ],
)
def test_a_button_is_the_larger_of_its_share_and_the_least(metal_g, heaviest, button_g):
    assert button_of(metal_g, heaviest, MIDDLE, STERLING, RULES) == pytest.approx(button_g)


def test_the_least_share_of_a_button_is_over_the_sections_that_may_be_the_heaviest():
    # 15 % for all but heavy (25 %); a heavy wax alone has 25 %. A table that falls is read the same way.
    assert least_button_pct(Section.MEDIUM, Section.HEAVY, RULES) == 15.0
    assert least_button_pct(Section.HEAVY, Section.HEAVY, RULES) == 25.0
    falling = replace(RULES, button_pct=dict(zip(Section, (30.0, 20.0, 15.0, 10.0), strict=True)))
    assert least_button_pct(Section.THIN, Section.HEAVY, falling) == 10.0
    assert least_button_pct(Section.THIN, Section.THIN, falling) == 20.0


def test_a_charge_is_rounded_up_to_the_step_of_the_scale():
    assert charge_of(34.53, 15.0, RULES) == 50.0  # 49.53 g
    assert charge_of(34.5, 15.0, RULES) == 49.5  # already on a step


def test_a_melt_is_limited_by_crucible_and_torch():
    # 24 ml x 80 % = 19.2 ml: 198.912 g of sterling, 160.512 g of bronze; the torch melts 200 g
    assert charge_limit(STERLING, RULES) == pytest.approx(198.912)
    assert charge_limit(BRONZE, RULES) == pytest.approx(160.512)
    assert charge_limit(STERLING, replace(RULES, melt_max_g=150)) == 150


@pytest.mark.parametrize(
    ("alloy", "rules", "largest_g"),
    [
        (STERLING, RULES, 198.5),  # 198.912 g in steps of 0.5 g
        (BRONZE, RULES, 160.5),  # 160.512 g
        (STERLING, replace(RULES, melt_max_g=150), 150.0),  # on a step
        (STERLING, replace(RULES, melt_max_g=149.9995), 150.0),  # within the slack of 0.001 g
        (STERLING, replace(RULES, melt_max_g=149.99), 149.5),  # not within it
        # (8.099 + 0.001) / 0.1 comes to just under 81 in binary, yet 8.1 g fits.
        (STERLING, replace(RULES, charge_step_g=0.1, melt_max_g=8.099), 8.1),
        (STERLING, replace(RULES, charge_step_g=1.0), 198.0),
        (STERLING, replace(RULES, charge_step_g=0.1), 198.9),
    ],
)
def test_the_largest_charge_is_the_last_step_that_one_melt_takes(alloy, rules, largest_g):
    assert largest_charge(alloy, rules) == pytest.approx(largest_g)
    # Derived a second time: step by step up the scale, as long as the charge fits.
    step, nth = rules.charge_step_g, 0
    while fits_crucible(charge_of((nth + 1) * step, 0.0, rules), alloy, rules):
        nth += 1
    assert largest_charge(alloy, rules) == pytest.approx(nth * step)
