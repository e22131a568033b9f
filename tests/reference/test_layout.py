"""Sprues, wire gauges and clearances: the program's own figures against published and customary ones."""

from __future__ import annotations

import math
from dataclasses import replace

from casting.calc.geometry.from_day import base_of, footprint_of, room_above_mm
from casting.calc.quantities.sprue import gauge_mm, sprues_for
from casting.calc.values.day_input import FlaskSize
from casting.calc.values.enums import Stones
from casting.dayfile.rules_file import rulebook
from casting.dayfile.shelf_file import shelf as shelf_of_file
from tests.days.day_input import a_day, a_wax
from tests.reference.rows import Row, checks
from tests.reference.values import MM_PER_IN, shelf

PIECES = {
    "simple ring": {"wax_g": 2.0},
    "heavy or wide": {"wax_g": 2.0, "width_mm": 40.0},
    "stones in place": {"wax_g": 2.0, "stones": Stones.TAKE_FIRING},
}


@checks("layout", "LY-GA")
def test_a_wire_gauge_has_its_thickness(row: Row):
    # computed: 0.127 mm x 92^((36-n)/39)
    row.check(gauge_mm(row.inputs["gauge_BS"]))


@checks("layout", "LY-SPR-001", "LY-SPR-002", "LY-SPR-003", "LY-SPR-004", "LY-SPR-005")
def test_a_sprue_is_as_thick_as_the_part_it_joins(row: Row):
    # source: "The Sprue System Design", World Gold Council text; computed: square root; common practice
    by_diameter = rulebook().limit("sprue_of_thickest_pct") / 100
    if row.quantity == "diameter_ratio" and row.inputs:
        row.check(math.sqrt(row.inputs["area_ratio"]))
        assert 0.8367 <= by_diameter <= 1.2247
    else:
        row.check(by_diameter**2 if row.quantity == "area_ratio" else by_diameter)


@checks("layout", "LY-SPR-008")
def test_the_trunk_of_a_tree(row: Row):
    # source: Romanoff (supplier), article on building a wax tree
    row.check(shelf_of_file().defaults.trunk_mm)


@checks("layout", "LY-SPR-009")
def test_how_long_a_sprue_may_be(row: Row):
    # from memory, not seen
    row.check(rulebook().limit("sprue_longest_mm"))


@checks("layout", "LY-SPR-010", "LY-SPR-011", "LY-SPR-012")
def test_how_many_sprues_a_piece_gets(row: Row):
    # from memory, not seen; common practice for stones in place
    row.check(sprues_for(replace(a_wax("w1"), **PIECES[row.inputs["piece"]]), 0.96, rulebook()).count)


@checks("layout", "LY-CLR-001", "LY-CLR-002", "LY-CLR-003", "LY-CLR-006")
def test_the_wall_of_plaster_beside_a_wax(row: Row):
    # source: College of DuPage, class casting sheet, 2009; Todd and Gilman, "Five Steps for Successful Investing";
    # Romanoff (supplier), article on building a wax tree: each or more. Common practice for the default itself.
    wall_mm = shelf()["rules"]["wall_mm"]
    assert wall_mm >= float(row.value)
    if "school default" in row.subject:
        row.check(wall_mm)


@checks("layout", "LY-CLR-005")
def test_the_wall_of_plaster_beside_resin(row: Row):
    # source: BlueCast, casting tips
    row.check(shelf()["rules"]["resin_wall_mm"])


@checks("layout", "LY-CLR-009")
def test_the_gap_between_waxes(row: Row):
    # common practice
    row.check(shelf()["rules"]["between_mm"])


@checks("layout", "LY-CLR-010", "LY-CLR-012", "LY-CLR-014")
def test_the_plaster_over_the_waxes(row: Row):
    # source: Todd and Gilman, "Five Steps for Successful Investing"; College of DuPage, class casting sheet, 2009;
    # common practice for the default itself
    usual = shelf_of_file().defaults
    closed_end = row.id == "LY-CLR-012"
    least_mm = usual.tree_cover_mm_least if closed_end else usual.cover_mm_least
    assert least_mm >= float(row.value) - 0.5
    if row.status == "practice":
        row.check(least_mm)


@checks("layout", "LY-CLR-015")
def test_how_far_below_the_rim_a_flask_is_filled(row: Row):
    # source: Todd and Gilman, "Five Steps for Successful Investing"
    row.check(shelf_of_file().defaults.rim_mm)


@checks("layout", "LY-ENV")
def test_the_room_for_waxes_in_a_flask(row: Row):
    # computed: arithmetic
    given = row.inputs
    width_mm, height_mm = given["D_in"] * MM_PER_IN, given["H_in"] * MM_PER_IN
    size = FlaskSize(
        "f", width_mm, height_mm, width_mm + 4, 1, given["base_mm"], 24, given["rim_mm"], given["cover_mm"], 4
    )
    if row.quantity == "tree_height_max":
        row.check(room_above_mm(size))
    else:
        wax = replace(a_wax("w1"), width_mm=10.0, depth_mm=10.0)
        day = a_day([wax], rules={"wall_mm": given["wall_mm"]})
        row.check(2 * base_of(size, day.rules).usable_mm(footprint_of(wax, day)))
