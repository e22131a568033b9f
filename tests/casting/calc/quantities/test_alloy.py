"""Specific gravity and colour of alloys; more compositions in the reference tables."""

import pytest

from casting.calc.quantities.alloy import Colour, colour, specific_gravity
from casting.calc.values.errors import NotAComposition

DENSITIES = {"Ag": 10.49, "Cu": 8.96}


def test_volumes_add_and_not_masses():
    # 50 g of each: 50/10.49 + 50/8.96 = 4.766444 + 5.580357 = 10.346801 ml; 100 / 10.346801 = 9.6648
    assert specific_gravity({"Ag": 50, "Cu": 50}, DENSITIES) == pytest.approx(9.6648, abs=1e-4)


def test_shares_count_by_their_own_sum():
    assert specific_gravity({"Ag": 92.0, "Cu": 7.5}, DENSITIES) == pytest.approx(
        specific_gravity({"Ag": 92.0 / 0.995, "Cu": 7.5 / 0.995}, DENSITIES)
    )


def test_an_element_without_a_density_and_an_empty_recipe_are_refused():
    with pytest.raises(NotAComposition, match="No density is known for Xx"):
        specific_gravity({"Ag": 90, "Xx": 10}, DENSITIES)
    with pytest.raises(NotAComposition, match="at least one part"):
        specific_gravity({}, DENSITIES)


@pytest.mark.parametrize(
    ("composition", "name", "expected"),
    [
        # common practice: silver is white, bronze and copper are red, most gold is yellow
        ({"Ag": 60.0, "Cu": 40.0}, "", Colour.WHITE),
        ({"Ag": 59.9, "Cu": 40.1}, "", Colour.YELLOW),
        ({"Cu": 95.0, "Si": 4.0, "Mn": 1.0}, "Silicon bronze", Colour.RED),
        # 29 / 8 = 3.6, over 3.5; 28 / 8 = 3.5, not over it
        ({"Au": 63.0, "Cu": 29.0, "Ag": 8.0}, "", Colour.RED),
        ({"Au": 64.0, "Cu": 28.0, "Ag": 8.0}, "", Colour.YELLOW),
        ({"Au": 58.5, "Cu": 20.5, "Ag": 21.0}, "14k Rose gold", Colour.RED),
        # "red" within another word is no colour
        ({"Au": 58.5, "Cu": 20.5, "Ag": 21.0}, "Fred's gold", Colour.YELLOW),
        ({"Ag": None, "Cu": None}, "scrap", Colour.YELLOW),
    ],
)
def test_the_colour_follows_from_recipe_and_name(composition, name, expected):
    assert colour(composition, name) is expected
