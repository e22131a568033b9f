"""Every figure of a school with its source."""

import datetime as dt
import json

import pytest

from casting.dayfile.rules_file import rulebook
from casting.dayfile.shelf_file import FIXTURES
from casting.models import Alloy, HouseRules, Kiln
from casting.presenters.sources import sources_of, worths
from casting.services.stock import retold, stock_school

FILE = json.loads((FIXTURES / "shelf.json").read_text("utf-8"))


@pytest.fixture
def rows(school):
    """The rows of the school's page by their anchor, as they are now."""
    stock_school(school)

    def now():
        return {row.anchor: row for thing in sources_of(school).things for row in thing.rows}

    return now


def test_every_figure_of_the_shelf_file_has_a_row_with_its_source_and_worth(rows):
    found = rows()
    places = [place.replace("investment.", "investment.gypsum.") for place in FILE["sources"]]
    assert len(places) > 250 and [place for place in places if place not in found] == []
    assert [place for place in places if not (found[place].source or found[place].worth)] == []
    assert [place for place in places if found[place].worth == "not recorded" or not found[place].lines] == []


def test_every_other_material_has_a_row_for_each_of_its_answers(rows, school):
    named = {key for thing in sources_of(school).things if thing.anchor.startswith("materials.")
             for key in thing.name.split(", ")}  # fmt: skip
    assert {row["key"] for row in FILE["materials"]} == named
    assert rows()["materials.pvc.poison_gas"].lines == ["yes*\u2060"]


def test_every_rule_and_every_limit_has_a_row_with_a_source(rows):
    found, book = rows(), rulebook()
    assert len(book.limits) >= 84 and len(book.rules) >= 115
    wanted = [f"limits.{name}" for name in book.limits] + [f"cautions.{id}" for id in book.rules]
    assert [anchor for anchor in wanted if anchor not in found] == []
    assert [anchor for anchor in wanted if not (found[anchor].source or found[anchor].worth)] == []


def test_each_element_of_the_schools_metals_has_its_density_and_its_heats_with_their_source(rows, school):
    found = rows()
    parts = {sign for alloy in Alloy.objects.filter(school=school) for sign in alloy.composition_pct}
    for sign in parts:
        for figure in ("density_g_per_cm3", "solid_j_per_g_k", "fusion_j_per_g", "liquid_j_per_g_k"):
            row = found[f"elements.{sign}.{figure}"]
            assert row.lines and row.source and row.worth in ("worked out", "published"), row
    assert found["elements.Cu.density_g_per_cm3"].source == "A library of the elements; another gives 8.96"
    assert "chemicals" not in found["elements.Cu.fusion_j_per_g"].source
    assert "elements.Fe.density_g_per_cm3" not in found


def test_exactly_what_is_from_memory_is_marked(rows):
    found = rows()
    for place, origin in FILE["sources"].items():
        row = found[place.replace("investment.", "investment.gypsum.")]
        assert row.remembered is (origin["status"] == "memory")
        assert all(line.endswith("*\u2060") is row.remembered for line in row.lines)


def test_no_anchor_stands_twice(school, rows):
    rows()
    sources = sources_of(school)
    anchors = [group.anchor for group in sources.groups] + [thing.anchor for thing in sources.things]
    anchors += [row.anchor for thing in sources.things for row in thing.rows]
    assert len(anchors) == len(set(anchors))


def test_a_figure_that_the_school_typed_says_so_and_when(rows, school):
    kiln = Kiln.objects.get(school=school, key="k1")
    before = kiln.to_day()
    kiln.cool_c_per_h = 95
    retold(kiln, before, dt.date(2027, 3, 14))
    kiln.save()
    row = rows()["kilns.k1.cool_c_per_h"]
    assert (row.lines, row.source, row.worth) == (
        ["95\u202f°C/h"], "Typed by the school, 2027-03-14", "the school's own",
    )  # fmt: skip
    assert not row.remembered


def test_a_figure_without_a_source_says_that_none_is_recorded(rows, school):
    Alloy.objects.filter(school=school, key="sterling").update(sources={})
    row = rows()["alloys.sterling.pour_c"]
    assert (row.source, row.worth, row.remembered) == ("No source is recorded.", "not recorded", False)


def test_the_source_of_a_whole_row_stands_for_each_of_its_figures(rows, school):
    whole = {"": {"source": "the maker's sheet", "status": "published"}}
    Alloy.objects.filter(school=school, key="sterling").update(sources=whole)
    assert rows()["alloys.sterling.flask_c.thin"].source == "The maker's sheet"


def test_a_rule_that_the_school_has_not_set_is_the_usual_one(rows, school):
    rows()
    HouseRules.objects.filter(school=school).update(rules={"wall_mm": 9}, sources={})
    found = rows()
    assert found["rules.wall_mm"].lines == ["9\u202fmm"] and found["rules.wall_mm"].worth == "not recorded"
    assert found["rules.between_mm"].lines == ["6\u202fmm"] and found["rules.between_mm"].worth == "common practice"


def test_what_the_school_does_not_work_with_is_there_and_says_so(rows, school):
    rows()
    notes = {thing.anchor: thing.note for thing in sources_of(school).things}
    assert (notes["alloys.brass"], notes["alloys.sterling"]) == ("not worked with", "")


def test_a_rule_shows_its_own_limit_and_a_gap_for_the_figures_of_the_day(rows):
    words = rows()["cautions.R-12-hot"].what
    assert "Above 1100\u202f°C it breaks down" in words and "pour … at … into" in words and "{" not in words


def test_every_limit_has_on_both_scales_what_its_rule_says(rows, school):
    for scale in ("C", "F"):
        school.temperature_unit = scale
        school.save()
        found = rows()
        for rule in rulebook().rules.values():
            for name in rule.limits:
                if f"{{{name}}}\u202f°C" in rule.text or f"{{{name}}}\u00a0°C" in rule.text:
                    (line,) = found[f"limits.{name}"].lines
                    said = found[f"cautions.{rule.id}"].what.replace("\u00a0", "\u202f")
                    assert line.removesuffix("*\u2060").replace("\u00a0", "\u202f") in said, name


def test_the_counts_are_those_of_the_rows(school, rows):
    figures = [row for row in rows().values() if not row.of_rule]
    sources = sources_of(school)
    assert sources.figure_count == len(figures)
    assert sources.remembered_count == sum(row.remembered for row in figures) > 40


def test_every_word_for_a_source_is_explained():
    assert {"published", "common practice", "from memory"} <= {word for word, _meaning in worths()}


def test_how_hot_a_kiln_gets_is_there_also_where_nobody_recorded_it(rows, school):
    rows()
    Kiln.objects.filter(school=school, key="k1").update(max_c=None, wall_gap_mm=None)
    found = rows()
    assert found["kilns.k1.max_c"].lines == ["not recorded"]
    assert "kilns.k1.wall_gap_mm" not in found and found["defaults.kiln_wall_gap_mm"].lines  # what then counts
