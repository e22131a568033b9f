"""The shelf refuses, at the field where it is typed, what a day file refuses."""

from dataclasses import fields

import pytest
from django.db import IntegrityError

from casting.calc.values import day_input
from casting.models import Alloy, Firing, FlaskSize, HouseRules, Investment, Kiln, PatternMaterial
from casting.models.shelf import told_from_memory
from casting.services.stock import stock_school
from tests.casting.models.shelf_rows import FAIR, MODELS, refused, row_of

COMPUTED = {"gravity_of_parts", "melt_j_per_g", "from_memory"}
"""Fields of a thing that no row holds: they follow from the others, and from the sources."""


@pytest.mark.parametrize(("heading", "row"), FAIR, ids=[f"{heading} {row['key']}" for heading, row in FAIR])
def test_every_row_of_the_shelf_s_file_is_fair(school, heading, row):
    made = MODELS[heading](school=school, **({"name": "a name"} | row))
    made.full_clean()
    made.save()


def test_every_row_that_a_school_starts_with_is_fair(school):
    stock_school(school)
    rows = [row for model in (*MODELS.values(), HouseRules) for row in model.objects.filter(school=school)]
    assert len(rows) == len(FAIR) + 1
    for row in rows:
        row.full_clean()


def test_several_mistakes_are_told_together(school):
    told = refused(row_of(school, "alloys", specific_gravity=0.5, pour_c=20, flask_c={"thin": [621, 566]}))
    assert {field: len(sentences) for field, sentences in told.items()} == {
        "specific_gravity": 1,
        "pour_c": 1,
        "flask_c": 4,  # three sections are missing, and the band of the fourth runs backwards
    }


def test_what_is_left_empty_is_told_once_in_the_form_s_own_words(school):
    told = refused(row_of(school, "kilns", width_mm=None, depth_mm=0))
    assert told["width_mm"] == ["This field cannot be null."]
    assert len(told["depth_mm"]) == 1


@pytest.mark.parametrize("sources", [["the maker"], {"pour_c": "the maker"}, {"pour_c": {"source": "the maker"}}])
def test_a_source_says_where_a_figure_is_from_and_what_that_is_worth(school, sources):
    assert list(refused(row_of(school, "kilns", sources=sources))) == ["sources"]


@pytest.mark.parametrize(
    ("heading", "changed", "constraint"),
    [
        ("flask_sizes", {"diameter_mm": -3}, "flask_size_diameter_mm_over_0"),
        ("flask_sizes", {"cover_mm": -1}, "flask_size_cover_mm_not_negative"),
        ("flask_sizes", {"count": -1}, "count"),
        ("kilns", {"cool_c_per_h": 0}, "kiln_cool_c_per_h_over_0"),
        ("firings", {"max_height_mm": 0}, "firing_max_height_mm_over_0"),
        ("alloys", {"price_per_g": -1}, "alloy_price_per_g_not_negative"),
        ("patterns", {"specific_gravity": 0}, "pattern_specific_gravity_over_0"),
        ("investment", {"water_per_100": 0}, "investment_water_per_100_over_0"),
    ],
)
def test_the_database_refuses_it_too(school, heading, changed, constraint):
    with pytest.raises(IntegrityError, match=constraint):
        row_of(school, heading, **changed).save()


def test_the_database_takes_a_figure_that_is_not_recorded(school):
    row_of(school, "alloys", price_per_g=None, quench_by_min=None).save()


@pytest.mark.parametrize(
    ("model", "made"),
    [
        (Alloy, day_input.Alloy),
        (PatternMaterial, day_input.Pattern),
        (Investment, day_input.Investment),
        (FlaskSize, day_input.FlaskSize),
        (Kiln, day_input.Kiln),
        (Firing, day_input.Firing),
    ],
)
def test_every_field_of_a_thing_has_its_column_and_goes_into_the_day_file(model, made):
    columns = {field.name for field in model._meta.fields}
    figures = {field.name for field in fields(made)} - COMPUTED
    assert figures <= columns
    assert {"key", *model.figures} == figures


def test_a_row_stands_in_a_day_file_without_what_is_not_recorded(school):
    # the first size of the shelf's file, whose row gives no more than these; a mount and a wall are always said
    assert row_of(school, "flask_sizes").to_day() == {
        "key": "51x64",
        "diameter_mm": 50.8,
        "height_mm": 63.5,
        "count": 5,
        "mount": "cone",
        "wall": "solid",
        "name": "a name",
    }


def test_a_row_names_its_figures_from_memory_in_the_day_file(school):
    stock_school(school)
    bronze = Alloy.objects.get(school=school, key="si-bronze")
    # the shelf's file has the bands and the minutes of silicon bronze from memory, all else from its sheet
    bands = [f"flask_c.{section}" for section in ("heavy", "medium", "thin", "very_thin")]
    assert bronze.to_day()["from_memory"] == [*bands, "quench_min_by_diameter"]
    assert bronze.read().from_memory == frozenset()
    rules = HouseRules.objects.get(school=school)
    remembered = ["button_g_by_diameter", "cup_change_min", "kiln_gap_mm", "melt_set_up_min", "melt_w"]
    assert rules.to_day()["from_memory"] == remembered
    bronze.sources = {figure: origin | {"status": "published"} for figure, origin in bronze.sources.items()}
    assert "from_memory" not in bronze.to_day()


def test_a_row_from_memory_as_a_whole_names_each_figure_without_a_source_of_its_own():
    memory, published = {"source": "a talk", "status": "memory"}, {"source": "a sheet", "status": "published"}
    sources = {"": memory, "pour_c": published, "flask_c.thin": published}
    told = told_from_memory(sources, ["key", "pour_c", "flask_c", "solidus_c"])
    assert told == {"from_memory": ["solidus_c"]}


@pytest.mark.parametrize("kind", ["Gypsum", "plaster", ""])
def test_a_powder_s_kind_is_one_of_the_list(school, kind):
    told = refused(row_of(school, "investment", kind=kind))
    assert list(told) == ["kind"]
    assert kind == "" or "take one of: gypsum, phosphate, unknown." in told["kind"][-1]


def test_a_powder_of_which_nobody_said_the_kind_is_not_recorded():
    assert Investment().kind == "unknown"


def test_what_a_pattern_does_in_the_kiln_stands_in_the_day_file_also_as_not_recorded(school):
    # a key that the shelf's file knows: left out, the file's "no" would stand in for what nobody recorded
    row = row_of(school, "patterns", poison_gas=None, ash=True).to_day()
    assert (row["poison_gas"], row["heavy_smoke"], row["ash"]) == (None, False, True)


def test_the_worth_of_a_source_is_one_of_the_list(school):
    assert list(refused(row_of(school, "kilns", sources={"width_mm": {"source": "a", "status": "sure"}}))) == [
        "sources"
    ]
