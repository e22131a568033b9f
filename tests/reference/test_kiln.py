"""Kilns: how many flasks stand on a floor, which are too high for a chamber, and the gaps of the shelf."""

from __future__ import annotations

from dataclasses import replace

from casting.calc.kiln.loading import ShelfFlask, is_high_enough, load_kilns, most_flasks, shelf_faults
from casting.calc.values.day_input import Firing, Kiln, Rules
from casting.calc.values.enums import Kind
from casting.dayfile.rules_file import rulebook
from tests.days import class_day
from tests.days.day_file import a_day_file, planned, wax_row
from tests.reference.rows import Row, checks
from tests.reference.values import MM_PER_IN, shelf

RULES = Rules(**class_day.RULES)
FIRINGS = [Firing("any", 200, 250, frozenset(Kind), ())]


def floor_of(row: Row) -> tuple[Kiln, Rules, float]:
    """Kiln, gap between flasks and outside diameter [mm] of a row in inches or millimetres."""
    given = row.inputs
    if "chamber_in" in given:
        width_mm = depth_mm = given["chamber_in"] * MM_PER_IN
        outside_mm = given["flask_D_in"] * MM_PER_IN
    else:
        width_mm, depth_mm, outside_mm = given["length_mm"], given["width_mm"], given["flask_D_mm"]
    kiln = Kiln("k", width_mm, depth_mm, 250, 250, 150, given["wall_mm"])
    return kiln, replace(RULES, kiln_gap_mm=given["gap_mm"]), outside_mm


def flasks(count: int, outside_mm: float, height_mm: float = 100) -> list[ShelfFlask]:
    return [ShelfFlask(f"F{nth}", outside_mm, outside_mm - 4, height_mm, Kind.WAX) for nth in range(count)]


@checks("kiln", "KL-CAP", "KL-RECT")
def test_a_grid_of_flasks_finds_its_places(row: Row):
    # computed: arithmetic; the grid is not the most: flasks may stand on the diagonal or in staggered rows
    kiln, rules, outside_mm = floor_of(row)
    load = flasks(int(row.value), outside_mm)
    found = load_kilns([kiln], FIRINGS, rules, load)
    assert found is not None and len(found) == int(row.value)
    assert shelf_faults(kiln, rules, load, [found[flask.label] for flask in load]) == ()
    assert most_flasks([kiln], rules, outside_mm) >= int(row.value)


@checks("kiln", "KL-HGT")
def test_a_flask_with_its_support_and_room_above_fits_or_does_not(row: Row):
    # computed: arithmetic; flask + support + clearance
    given = row.inputs
    kiln = Kiln("k", 400, 400, given["chamber_mm"], 250, 150, 25)
    rules = replace(RULES, kiln_under_mm=given["support_mm"], kiln_over_mm=given["clear_mm"])
    assert is_high_enough(kiln, rules, given["flask_mm"]) == (row.value == "yes")
    found = load_kilns([kiln], FIRINGS, rules, flasks(1, 80, given["flask_mm"]))
    assert (found is not None) == (row.value == "yes")


@checks("kiln", "KL-RULE-007")
def test_flasks_are_never_stacked(row: Row):
    # common practice; a chamber as high as two flasks takes one where its floor has room for one
    kiln = Kiln("k", 150, 150, 1000, 250, 150, 25)
    assert len(load_kilns([kiln], FIRINGS, RULES, flasks(int(row.value), 80)) or {}) == 1
    assert load_kilns([kiln], FIRINGS, RULES, flasks(int(row.value) + 1, 80)) is None


@checks("kiln", "KL-RULE-008")
def test_the_gap_between_flasks_of_the_shelf(row: Row):
    # from memory, not seen (12 to 25 mm)
    row.check(shelf()["rules"]["kiln_gap_mm"])


@checks("kiln", "KL-RULE-009")
def test_the_gap_to_the_wall_of_the_shelf_and_of_the_caution(row: Row):
    # from memory, not seen (12 to 25 mm, 25 to an element)
    for kiln in shelf()["kilns"]:
        row.check(kiln["wall_gap_mm"])
    row.check(rulebook().limit("kiln_gap_mm"))


@checks("kiln", "KL-RULE-010")
def test_the_room_over_and_under_a_flask_of_the_shelf(row: Row):
    # common practice
    row.check(shelf()["rules"]["kiln_over_mm"])
    row.check(shelf()["rules"]["kiln_under_mm"])


@checks("kiln", "KL-RULE-011")
def test_a_kiln_is_full_where_the_rule_says(row: Row):
    # common practice; raised and not raised in tests/casting/calc/cautions
    assert f"more than {rulebook().limit('kiln_full_pct'):g} % full" in row.subject


@checks("kiln", "KL-RULE-012")
def test_the_ramps_of_the_shelf_s_firings(row: Row):
    # common practice; 250 to 300 F/h
    for firing in shelf()["firings"]:
        for segment in firing["segments"]:
            row.check(segment["ramp_c_per_h"])


@checks("kiln", "KL-RULE-013")
def test_how_fast_the_shelf_s_kilns_cool(row: Row):
    # from memory, not seen (a loaded kiln with its door shut)
    for kiln in shelf()["kilns"]:
        row.check(kiln["cool_c_per_h"])


@checks("kiln", "KL-RULE-004")
def test_the_hottest_flask_comes_out_first(row: Row):
    # source: Hoover & Strong, "Hot Mix Investment for High Altitude Casting"
    assert "hottest come out first" in row.value
    waxes = [wax_row("w1", section="heavy"), wax_row("w2", section="thin")]
    poured = sorted(planned(a_day_file(waxes))["flasks"], key=lambda flask: flask["out_at"])
    heats = [flask["flask_c"] for flask in poured]
    assert len(set(heats)) == 2 and heats == sorted(heats, reverse=True)
