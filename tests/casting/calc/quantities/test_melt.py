"""The heat of a melt, its minutes, and its crucible; by hand, beside the elements of a general library."""

from __future__ import annotations

from dataclasses import replace

import pytest
from mendeleev.fetch import fetch_table

from casting.calc.quantities.melt import cup_for, cups_ml, heat_to_pour, melt_min
from casting.dayfile import read
from casting.dayfile.shelf_file import element_heats, shelf
from tests.days.day_input import RULES
from tests.days.example_file import bare

ALLOYS = read(bare(alloys=shelf().rows("alloys"))).day.alloys


# Worked by hand with Ag 0.260, 104.8, 0.318; Cu 0.429, 208.7, 0.494; Si 0.879, 1787.8, 0.968; Mn 0.688, 235, 0.838
# (J/g K solid, J/g, J/g K liquid; Perry's and the CRC handbook's, see fixtures/elements.json).
# Sterling, 20 to 893 to 970 C: Ag 226.98 + 104.8 + 24.49 = 356.27; Cu 374.52 + 208.7 + 38.04 = 621.26;
# 92.5 and 7.5 % of them 376.1 J/g.
# Silicon bronze, 20 to 971 to 1045 C: Cu 407.98 + 208.7 + 36.56 = 653.24; Si 835.93 + 1787.8 + 71.63 = 2695.36;
# Mn 654.29 + 235 + 62.01 = 951.30; 94.9, 4 and 1.1 % of them 738.2 J/g.
@pytest.mark.parametrize(("metal", "j_per_g"), [("sterling", 376.14), ("si-bronze", 738.20)])
def test_an_alloy_takes_the_heat_of_its_parts(metal: str, j_per_g: float) -> None:
    assert ALLOYS[metal].melt_j_per_g == pytest.approx(j_per_g, abs=0.01)


# Three minutes of setting up, then grams x J/g / 400 W / 60: 136.5 x 376.14 = 51.34 kJ, 128 s;
# 67 x 738.2 = 49.46 kJ, 124 s; 114.5 x 738.2 = 84.52 kJ, 211 s.
@pytest.mark.parametrize(
    ("metal", "charge_g", "minutes"),
    [("sterling", 136.5, 3 + 2.139), ("si-bronze", 67.0, 3 + 2.061), ("si-bronze", 114.5, 3 + 3.522)],
)
def test_a_melt_takes_its_heat_at_the_watts_of_the_torch(metal: str, charge_g: float, minutes: float) -> None:
    assert melt_min(charge_g, ALLOYS[metal], RULES) == pytest.approx(minutes, abs=0.001)


def test_half_the_watts_take_twice_the_time() -> None:
    weak = replace(RULES, melt_w=200, melt_set_up_min=0)
    assert melt_min(136.5, ALLOYS["sterling"], weak) == pytest.approx(2 * 2.139, abs=0.001)


def test_a_melter_with_a_time_of_its_own_takes_that_whatever_the_charge() -> None:
    electric = replace(RULES, melter_min=18)
    assert {melt_min(grams, ALLOYS["sterling"], electric) for grams in (20, 180)} == {18}


@pytest.mark.parametrize(
    ("parts", "why"),
    [
        ({}, "no recipe"),
        ({"Cu": None}, "a share that nobody recorded"),
        ({"Au": None, "Ag": None}, "no share recorded"),
        ({"Eu": 100}, "an element whose heat is not known"),
    ],
)
def test_what_is_not_recorded_counts_as_copper(parts: dict[str, float | None], why: str) -> None:
    copper = heat_to_pour({"Cu": 100}, 900, 1000, element_heats())
    assert heat_to_pour(parts, 900, 1000, element_heats()) == pytest.approx(copper), why


def test_a_part_that_is_missing_from_a_hundred_counts_as_copper() -> None:
    given = heat_to_pour({"Ag": 92.5, "Cu": None}, 893, 970, element_heats())
    assert given == pytest.approx(heat_to_pour({"Ag": 92.5, "Cu": 7.5}, 893, 970, element_heats()))


def test_no_metal_that_is_offered_takes_more_than_one_of_unknown_recipe_but_bronze() -> None:
    """Silicon takes six times copper's heat, so bronze alone is over it."""
    for alloy in ALLOYS.values():
        unknown = heat_to_pour({}, alloy.liquidus_c, alloy.pour_c, element_heats())
        assert (alloy.melt_j_per_g <= unknown + 1e-9) == ("Si" not in alloy.composition_pct), alloy.key


# The library's heats are those of 25 C, and rise: by a quarter up to 900 C in common metals, by half in manganese and
# iron, which change their crystals, and by more in the light elements. Its heats of fusion are another evaluation.
LIGHT = {"B", "P"}
ELEMENTS = fetch_table("elements").set_index("symbol")


@pytest.mark.parametrize("symbol", sorted(element_heats()))
def test_an_element_s_heat_is_that_of_another_library(symbol: str) -> None:
    heat, other = element_heats()[symbol], ELEMENTS.loc[symbol]
    at_25_c, molar_j, grams = other.specific_heat_capacity, other.fusion_heat * 1000, other.atomic_weight
    assert at_25_c * 0.99 <= heat.solid_j_per_g_k <= at_25_c * (2 if symbol in LIGHT else 1.5)
    assert heat.liquid_j_per_g_k >= at_25_c * 0.99
    if symbol in {"B", "P", "Ru", "Ir", "Rh"}:  # its figure lies far below the handbook's, which is longer, so kept
        assert heat.fusion_j_per_g > molar_j / grams
    else:
        assert heat.fusion_j_per_g == pytest.approx(molar_j / grams, rel=0.06)


def test_a_charge_takes_the_smallest_cup_that_it_fits() -> None:
    three = replace(RULES, crucibles_ml=(12.0, 6.0))
    assert cups_ml(three) == (6, 12, 24)
    # 80 % of 6, 12 and 24 ml of sterling, 10.36: 49.7, 99.5 and 198.9 g
    sterling = ALLOYS["sterling"]
    charges = (49.5, 50.0, 99.0, 99.5, 198.5)
    assert [cup_for(charge, sterling, three) for charge in charges] == [6, 12, 12, 24, 24]
    assert {cup_for(charge, sterling, RULES) for charge in charges} == {24}


def test_a_charge_that_fills_a_cup_to_its_share_fits_it() -> None:
    ten = replace(RULES, crucibles_ml=(10.0,))
    assert cup_for(0.8 * 10 * 10.36, ALLOYS["sterling"], ten) == 10
