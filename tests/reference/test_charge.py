"""Wax to metal: worked examples that were printed elsewhere, and sums done apart from the code.

Every row carries its own status and source; `Row.check` says them when it fails.
"""

from __future__ import annotations

from casting.calc.quantities.charge import button_of, metal_of
from casting.calc.values.enums import Section
from tests.reference.rows import Row, checks
from tests.reference.values import G_PER_DWT, MM_PER_IN, alloy, flask, rules, shelf


@checks("wax_to_metal", "WM-EX-001", "WM-EX-002")
def test_a_rubber_base_is_weighed_first_and_is_not_metal(row: Row):
    # source: Romanoff (supplier), article on calculating the weight of metal
    given = row.inputs
    row.check(metal_of(given["gross_g"] - given["base_g"], 1.0, given["factor_g_per_g"]))


@checks("wax_to_metal", "WM-EX-003")
def test_a_share_for_the_button_comes_on_top_of_the_metal(row: Row):
    # source: Romanoff (supplier), article on calculating the weight of metal
    given = row.inputs
    metal = metal_of(given["wax_g"], 1.0, given["factor_g_per_g"])
    house = rules(button_pct=given["button_pct"], button_g=0)
    row.check(metal + button_of(metal, Section.MEDIUM, flask(2.5), alloy(given["factor_g_per_g"]), house))


@checks("wax_to_metal", "WM-EX-004")
def test_pennyweights_in_are_pennyweights_out(row: Row):
    # source: AU Enterprises, "Weights" (supplier data)
    wax_g = row.inputs["wax_dwt"] * G_PER_DWT
    row.check(metal_of(wax_g, 1.0, row.inputs["factor_g_per_g"]) / G_PER_DWT)


@checks("wax_to_metal", "WM-EX-005")
def test_a_ring_made_again_in_another_metal_keeps_its_volume(row: Row):
    # source: Stuller, "Where to find specific gravity", 2012
    given = row.inputs
    row.check(metal_of(given["metal_dwt"], given["from_g_per_cm3"], given["to_g_per_cm3"]))


@checks("wax_to_metal", "WM-EX-007")
def test_a_fixed_button_is_added_once(row: Row):
    # common practice; the fixed button is given for sterling at 10.36, so no scaling here
    given = row.inputs
    metal = metal_of(given["wax_g"], 1.0, given["factor_g_per_g"])
    house = rules(button_pct=0, button_g=given["button_dwt"] * G_PER_DWT)
    row.check(metal + button_of(metal, Section.MEDIUM, flask(4), alloy(10.36), house))


@checks("wax_to_metal", "WM-EX-008", "WM-RUN")
def test_metal_of_one_pattern(row: Row):
    # computed: arithmetic, apart from the code
    given = row.inputs
    row.check(metal_of(given["pattern_g"], given["pattern_g_per_cm3"], given["metal_g_per_cm3"]))


@checks("wax_to_metal", "WM-MAT")
def test_metal_of_one_gram_for_every_metal_and_pattern(row: Row):
    # computed: metal density / pattern density, apart from the code
    row.check(metal_of(1.0, row.inputs["pattern_g_per_cm3"], row.inputs["metal_g_per_cm3"]))


@checks("wax_to_metal", "WM-MIX")
def test_volumes_of_part_and_sprue_add(row: Row):
    # computed: arithmetic, apart from the code
    given = row.inputs
    row.check(
        metal_of(
            given["part_g"] + given["sprue_g"],
            given["part_g_per_cm3"],
            given["metal_g_per_cm3"],
            given["sprue_g"],
            given["sprue_g_per_cm3"],
        )
    )


@checks("wax_to_metal", "WM-BUT")
def test_the_button_is_the_larger_of_share_and_fixed_and_once_a_flask(row: Row):
    # computed: arithmetic on this school's own default, apart from the code
    given = row.inputs
    metal = metal_of(given["pattern_g"], given["pattern_g_per_cm3"], given["metal_g_per_cm3"])
    house = rules(given["button_pct"], given["button_fixed_sterling_g"])
    row.check(metal + button_of(metal, Section.MEDIUM, flask(2.5), alloy(given["metal_g_per_cm3"]), house))


@checks("metal_balance", "MB-RES-002")
def test_a_hundredth_of_a_gram_of_wax_shows_in_the_metal(row: Row):
    # computed: arithmetic
    given = row.inputs
    row.check(metal_of(given["wax_g"], given["wax_g_per_cm3"], given["metal_g_per_cm3"]))


@checks("metal_balance", "MB-BTF")
def test_the_shelf_has_a_plausible_button_for_each_flask(row: Row):
    # from memory, not seen (teaching practice): a band of 6 g
    diameter_mm = row.inputs["flask_D_in"] * MM_PER_IN
    table = shelf()["rules"]["button_g_by_diameter"]
    row.check(next(grams for largest, grams in table if diameter_mm <= largest))


@checks("metal_balance", "MB-BTN-003")
def test_the_shelf_asks_the_usual_share_for_the_button(row: Row):
    # common practice
    row.check(shelf()["rules"]["button_pct"]["medium"])
