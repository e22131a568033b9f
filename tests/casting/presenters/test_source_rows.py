"""The row of the page of sources that a figure of a plan comes from."""

from dataclasses import replace

import pytest

from casting import models
from casting.calc.values.enums import Do
from casting.calc.values.marked_text import FROM_MEMORY
from casting.presenters import source_rows
from casting.presenters.sources import sources_of
from tests.casting.presenters.test_from_memory import sheet_of


@pytest.fixture
def sheet():
    return sheet_of("alloys", [])


def test_a_figure_is_named_by_its_place_in_the_shelf_file(sheet):
    alloy = sheet.flasks[0].alloy
    assert source_rows.row_of(alloy, "pour_c") == f"alloys.{alloy.key}.pour_c"
    assert source_rows.row_of(sheet.day.rules, "wall_mm") == "rules.wall_mm"
    assert source_rows.row_of(sheet.day.investment) == f"investment.{sheet.day.investment.key}"
    assert source_rows.row_of(models.Alloy(key="brass")) == "alloys.brass"
    assert source_rows.row_of(models.PatternMaterial(key="pla")) == "patterns.pla"
    assert source_rows.address_of("rules.wall_mm") == "/sources/#rules.wall_mm"
    assert source_rows.caution_row("R-21") == "cautions.R-21"


def test_the_figures_of_a_flask_lead_to_its_metal_and_the_house_rules(sheet):
    flask = sheet.flasks[0]
    of_metal = f"alloys.{flask.alloy.key}"
    assert source_rows.flask_c_row(flask) == f"{of_metal}.flask_c.{flask.section.value}"
    assert source_rows.quench_row(flask) == f"{of_metal}.quench_min_by_diameter"
    assert source_rows.share_row(flask).startswith("rules.button_pct.")
    rows = source_rows.working_rows(sheet, flask)
    assert f"{of_metal}.specific_gravity" in rows.values() and "rules.button_g_by_diameter" in rows.values()
    assert (
        f"specific gravity of {flask.alloy.called}" in rows and "patterns.carving-wax.specific_gravity" in rows.values()
    )


def test_a_rise_leads_to_its_firing_and_a_fall_to_the_flask_and_the_kiln(sheet):
    (night,) = sheet.kilns
    firing = source_rows.firing_of(sheet, night)
    rise = next(segment for segment in night.segments if not segment.cooling)
    fall = next(segment for segment in night.segments if segment.cooling)
    assert source_rows.heat_row(sheet, night, rise) == f"firings.{firing.key}.segments"
    assert source_rows.heat_row(sheet, night, fall) == source_rows.flask_c_row(night.flasks[0])
    assert source_rows.ramp_row(sheet, night, fall) == f"kilns.{night.kiln.key}.cool_c_per_h"
    slow = replace(rise, ramp_c_per_h=1)
    assert source_rows.ramp_row(sheet, night, slow) == f"firings.{firing.key}.segments"
    fast = replace(rise, ramp_c_per_h=night.kiln.max_ramp_c_per_h)
    assert source_rows.ramp_row(sheet, night, fast) == f"kilns.{night.kiln.key}.max_ramp_c_per_h"


def step_of(sheet, do):
    """A step of that kind, of the first flask and its kiln."""
    flask = sheet.flasks[0]
    return replace(sheet.steps[0], do=do, flasks=(flask.label,), kiln=flask.kiln, say=f"To 538{FROM_MEMORY} C.")


def test_a_step_leads_to_what_its_words_name(sheet):
    row = {do: source_rows.step_row(sheet, step_of(sheet, do)) for do in Do}
    metal = f"alloys.{sheet.flasks[0].alloy.key}"
    assert row[Do.MELT] == f"{metal}.pour_c"
    assert row[Do.POUR].startswith(f"{metal}.flask_c.") and row[Do.SOAK] == row[Do.POUR]
    assert row[Do.RAMP].startswith("firings.") and row[Do.MIX] == ""


def test_a_hold_whose_only_star_is_the_flask_it_falls_to_leads_to_that_flask():
    sheet = sheet_of("alloys", ["flask_c"])
    assert source_rows.step_row(sheet, step_of(sheet, Do.HOLD)) == source_rows.flask_c_row(sheet.flasks[0])


def test_the_star_of_a_caution_leads_to_the_thing_that_it_names():
    sheet = sheet_of("alloys", ["pour_c", "quench_min_by_diameter"])
    flask = sheet.flasks[0]
    metal = f"alloys.{flask.alloy.key}"
    assert source_rows.starred_row(sheet, "N-15-warn", f"Check {flask.alloy.called}.") == metal
    assert source_rows.starred_row(sheet, "N-04-low", f"Keep flask {flask.label} warm.") == metal
    assert source_rows.starred_row(sheet, "N-07", "Wait 10 minutes.") == metal
    assert source_rows.starred_row(sheet, "N-13-wall", "Leave 6 mm.") == "rules.wall_mm"
    assert (
        source_rows.starred_row(sheet, "powder-short", "Add more.")
        == f"investment.{sheet.day.investment.key}.allowance_pct"
    )
    assert source_rows.starred_row(sheet, "R-21", "Do not pour.") == "cautions.R-21"


def test_rules_that_name_no_thing_are_rules_of_the_book(school):
    anchors = {row.anchor for thing in sources_of(school).things for row in thing.rows}
    assert {f"cautions.{id}" for id in {*source_rows.OF_RULES, *source_rows.OF_POWDER}} <= anchors
    assert {f"rules.{figure}" for figure in source_rows.OF_RULES.values()} <= anchors


def test_the_star_of_a_sum_leads_to_the_figure_that_is_from_memory():
    metal, powder = sheet_of("alloys", ["specific_gravity"]), sheet_of("investment", ["water_per_100"])
    rules = sheet_of("rules", ["button_g_by_diameter"])
    lines = ("", "button", "powder")
    of_metal = [source_rows.sum_row(metal, metal.flasks[0], line) for line in lines[:2]]
    assert of_metal == [f"alloys.{metal.flasks[0].alloy.key}.specific_gravity"] * 2
    assert source_rows.sum_row(rules, rules.flasks[0], lines[1]) == "rules.button_g_by_diameter"
    of_powder = source_rows.sum_row(powder, powder.flasks[0], lines[2])
    assert of_powder == f"investment.{powder.day.investment.key}.water_per_100"
    share = sheet_of("rules", ["button_pct"])
    assert source_rows.sum_row(share, share.flasks[0], lines[1]).startswith("rules.button_pct.")
    wax = sheet_of("patterns", ["specific_gravity"])
    assert source_rows.sum_row(wax, wax.flasks[0], lines[0]).startswith("patterns.")
