"""Specific gravity by the mixing rule, and the shelf's metals against what is printed of their kind.

Tolerance classes: A (gold, silver, copper) 1.5 %; B (zinc, nickel, palladium, tin) 2.5 %; C (silicon,
germanium, cobalt): the rule does not hold, the printed figure is kept.
"""

from __future__ import annotations

import pytest

from casting.calc.quantities.alloy import specific_gravity
from tests.reference.rows import Row, checks, rows_of
from tests.reference.values import densities, shelf, shelf_alloy

CLASS_C = {"Si", "Ge", "Co"}
SHELF = {
    "fine silver": "fine-silver",
    "sterling silver": "sterling",
    "10K yellow": "gold-10k",
    "14K yellow": "gold-14k",
    "14K yellow of any mix": "gold-14k",
    "18K yellow of any mix": "gold-18k",
    "18K yellow": "gold-18k",
    "14K red": "gold-14k-rose",
    "silicon bronze": "si-bronze",
    "copper": "copper",
    "yellow brass 70/30": "brass",
}
"""Subject of a row -> key of the shelf's metal of that kind."""


def test_every_key_named_here_is_on_the_shelf():
    assert set(SHELF.values()) <= {alloy["key"] for alloy in shelf()["alloys"]}


def parts_of(row: Row) -> dict[str, float]:
    return {name.partition("_")[0]: share for name, share in row.inputs.items() if name.endswith(("_pct", "_permille"))}


def rule_holds(row: Row) -> bool:
    return not CLASS_C & set(parts_of(row))


@checks("alloys", "AL-RULE")
def test_three_parts_with_the_densities_of_the_book(row: Row):
    # source: "How to determine approximate specific gravities of alloys" (reprint of a handbook table)
    given = {name.partition("_")[0]: value for name, value in row.inputs.items() if name.endswith("_g_per_cm3")}
    row.check(specific_gravity(parts_of(row), given))


@checks("alloys", "AL-BIN")
def test_the_measured_series_of_gold_and_silver(row: Row):
    # source: T. K. Rose, The Metallurgy of Gold, Table XIV; measured, so it tests the rule itself
    row.check(specific_gravity(parts_of(row), densities()))


@checks("alloys", "AL-LIN")
def test_a_straight_average_would_be_wrong(row: Row):
    # computed: inverse rule of mixtures with densities of mendeleev 1.3.0
    parts, known = parts_of(row), densities()
    row.check(specific_gravity(parts, known))


@checks("alloys", "AL-LIN-001")
def test_the_row_tells_the_rule_from_a_straight_average(row: Row):
    # computed: the note of the row, a straight average is 12 % too high
    parts, known = parts_of(row), densities()
    straight = sum(share * known[part] for part, share in parts.items()) / sum(parts.values())
    with pytest.raises(AssertionError):
        row.check(straight)


@checks("alloys", "AL-MIX")
def test_the_mixing_rule_redone_apart_from_the_code(row: Row):
    # computed: inverse rule of mixtures with densities of mendeleev 1.3.0
    row.check(specific_gravity(parts_of(row), densities()))


@checks("alloys", *(row.id for row in rows_of("alloys") if row.kind == "AL-RHO" and rule_holds(row)))
def test_the_mixing_rule_against_what_is_printed(row: Row):
    # the source of each print stands in its row; classes A and B
    row.check(specific_gravity(parts_of(row), densities()))


@checks("alloys", "AL-RHO-022", "AL-RHO-023", "AL-RHO-031")
def test_the_mixing_rule_does_not_hold_with_silicon_or_cobalt(row: Row):
    # source: Copper Development Association data sheets; Stuller, "Where to find specific gravity", 2012
    with pytest.raises(AssertionError):
        row.check(specific_gravity(parts_of(row), densities()))


@checks("alloys", "AL-RHO-001", "AL-RHO-002", "AL-RHO-022", "AL-RHO-029", "AL-BAND-001", "AL-BAND-004")
def test_the_shelf_keeps_a_printed_specific_gravity(row: Row):
    # the source of each print stands in its row; the bands are common practice
    row.check(shelf_alloy(SHELF[row.subject])["specific_gravity"])


@checks("wax_to_metal", "WM-FAC-002", "WM-FAC-003", "WM-FAC-004")
def test_the_shelf_over_any_wax_meets_the_factors_told(row: Row):
    # common practice; the factors told have mixed bases, so waxes from 0.93 to "take it as 1" are all meant
    low, high = (float(end) for end in row.value.split(".."))
    metal = shelf_alloy(SHELF[row.subject])["specific_gravity"]
    assert metal / 1.00 <= high
    assert metal / 0.93 >= low


@checks(
    "alloys",
    *(f"AL-SOL-{n}" for n in ("001", "002", "003", "004", "006", "008", "017", "018", "020")),
    *(f"AL-LIQ-{n}" for n in ("001", "002", "003", "006", "008", "021", "023")),
)
def test_the_shelf_melts_where_its_metals_do(row: Row):
    # the source of each print stands in its row; memory rows are bands of 15 C or more
    row.check(shelf_alloy(SHELF[row.subject])[f"{row.quantity}_c"])


@checks("alloys", "AL-CAST-001", "AL-CAST-003", "AL-CAST-007")
def test_the_shelf_pours_as_hot_as_is_told(row: Row):
    # source of AL-CAST-001: Stuller, "Silver comparisons"; the others common practice
    row.check(shelf_alloy(SHELF[row.subject])["pour_c"])


@checks("alloys", "AL-RHO-007", "AL-RHO-008")
def test_the_shelf_s_ordinary_14k_is_the_copper_rich_grain_with_zinc(row: Row):
    # source: Stuller and AU Enterprises for the specific gravity; B. D. Fahlman, Table 3.4, for the parts
    grain = shelf_alloy("gold-14k-grain")
    assert grain["name"] == "14k yellow gold"
    assert grain["composition_pct"] == parts_of(row)
    row.check(grain["specific_gravity"])


@checks("alloys", "AL-SUP-004")
def test_every_metal_of_the_shelf_is_poured_a_little_above_its_liquidus(row: Row):
    # computed: bounds of the published and practice rows
    for alloy in shelf()["alloys"]:
        row.check(alloy["pour_c"] - alloy["liquidus_c"])


@checks("alloys", "AL-FLASK-002", "AL-FLASK-004")
def test_the_shelf_takes_the_flask_band_of_sterling(row: Row):
    # common practice; inside the range, never a point
    for end in shelf_alloy("sterling")["flask_c"][row.inputs["section"].replace(" ", "_")]:
        row.check(end)


@checks("alloys", "AL-FLASK-009")
def test_no_flask_of_the_shelf_is_hotter_than_all_that_is_used(row: Row):
    # common practice: the upper end of all that is used
    for alloy in shelf()["alloys"]:
        hottest = max(end for band in alloy["flask_c"].values() for end in band)
        assert hottest <= float(row.value), alloy["key"]


@checks("alloys", "AL-QUENCH-012", "AL-QUENCH-013", "AL-QUENCH-014")
def test_the_shelf_waits_longer_for_a_larger_flask(row: Row):
    # common practice
    diameter_mm = row.inputs["flask_D_max_in"] * 25.4
    table = shelf_alloy("sterling")["quench_min_by_diameter"]
    row.check(next(minutes for largest, minutes in table if diameter_mm <= largest))
