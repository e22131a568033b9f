"""The shelf refuses, at the field where it is typed, what a day file refuses."""

import json
from dataclasses import fields

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError

from casting.calc.values import day_input
from casting.dayfile.shelf_file import FIXTURES
from casting.models import Alloy, Firing, FlaskSize, HouseRules, Investment, Kiln, PatternMaterial
from casting.services.stock import stock_school

SHELF = json.loads((FIXTURES / "shelf.json").read_text("utf-8"))["shelf"]
MODELS = {
    "alloys": Alloy,
    "patterns": PatternMaterial,
    "investment": Investment,
    "flask_sizes": FlaskSize,
    "kilns": Kiln,
    "firings": Firing,
}
FAIR = [
    (heading, row)
    for heading in MODELS
    for row in (SHELF[heading] if isinstance(SHELF[heading], list) else [SHELF[heading]])
]


def row_of(school, heading, **changed):
    """The first row of the shelf's file under a heading, with changes; nothing is saved."""
    row = next(row for name, row in FAIR if name == heading) | changed
    return MODELS[heading](school=school, **({"name": "a name"} | row))


def refused(row):
    """What is said at each field."""
    with pytest.raises(ValidationError) as error:
        row.full_clean()
    return error.value.message_dict


@pytest.mark.parametrize(("heading", "row"), FAIR, ids=[f"{heading} {row['key']}" for heading, row in FAIR])
def test_every_row_of_the_shelf_s_file_is_fair(school, heading, row):
    made = MODELS[heading](school=school, **({"name": "a name"} | row))
    made.full_clean()
    made.save()


def test_the_rules_of_the_shelf_s_file_are_fair(school):
    HouseRules(school=school, key="house", name="House rules", rules=SHELF["rules"]).full_clean()
    HouseRules(school=school, key="other", name="Only what differs", rules={"hands": 2}).full_clean()
    HouseRules(school=school, key="none", name="The shelf's", rules={}).full_clean()


def test_every_row_that_a_school_starts_with_is_fair(school):
    stock_school(school)
    rows = [row for model in (*MODELS.values(), HouseRules) for row in model.objects.filter(school=school)]
    assert len(rows) == len(FAIR) + 1
    for row in rows:
        row.full_clean()


# The limits are those of casting/PLAN_FILE.md.
@pytest.mark.parametrize(
    ("heading", "changed", "field", "sentence"),
    [
        (
            "alloys",
            {"composition_pct": {"Pb": 100}},
            "composition_pct",
            "Pb: 100 stands here, but an alloy holding Pb is never melted here; leave this metal out of the day.",
        ),
        (
            "alloys",
            {"composition_pct": {"silver": 92.5}},
            "composition_pct",
            "silver: no metal has this sign; write the sign of an element, as in Ag.",
        ),
        (
            "alloys",
            {"specific_gravity": 0.5},
            "specific_gravity",
            "0.5 stands here, but it must be at least 7 and at most 22; look it up, in g to the ml.",
        ),
        (
            "alloys",
            {"solidus_c": 970},
            "solidus_c",
            "970 stands here, but the solidus lies above the liquidus, 961.8 C; swap the two or look them up.",
        ),
        (
            "alloys",
            {"flask_c": {"very_thin": [621, 677], "thin": "no", "medium": [510, 566], "heavy": [399, 482]}},
            "flask_c",
            'thin: "no" stands here, but it must be a list; write it between [ and ].',
        ),
        ("alloys", {"price_per_g": -1}, "price_per_g", "-1 stands here, but it must be at least 0 and at most 1e+06; "),
        ("alloys", {"quench_min_by_diameter": 10}, "quench_min_by_diameter", "10 stands here, but it must be a list; "),
        ("patterns", {"specific_gravity": 10.36}, "specific_gravity", "10.36 stands here, but it must be at least 0.8"),
        (
            "investment",
            {"water_per_100": 20},
            "water_per_100",
            "20 stands here, but it must be at least 30 and at most 50; give grams of water to 100 g of powder.",
        ),
        (
            "flask_sizes",
            {"diameter_mm": -3},
            "diameter_mm",
            "-3 stands here, but it must be at least 20 and at most 250; give the inside diameter in mm.",
        ),
        (
            "flask_sizes",
            {"outside_mm": 50},
            "outside_mm",
            "50 stands here, but the outside is smaller than the inside, 50.8 mm; measure both.",
        ),
        ("flask_sizes", {"trunk_mm": 8}, "trunk_mm", "8 stands here, but a cone has no trunk; "),
        ("kilns", {"max_ramp_c_per_h": 0}, "max_ramp_c_per_h", "0 stands here, but it must be at least 1 and at most"),
        ("firings", {"kinds": ["steel"]}, "kinds", '[0]: "steel" stands here, but it is no kind of pattern, '),
        (
            "firings",
            {"segments": [{"ramp_c_per_h": 0, "to_c": 149, "hold_min": 120}]},
            "segments",
            "[0].ramp_c_per_h: 0 stands here, but it must be at least 1 and at most 5000; correct it.",
        ),
        ("firings", {"segments": {"to_c": 149}}, "segments", "An object stands here, but it must be a list; "),
    ],
)
def test_a_mistake_is_refused_at_its_field_in_the_reader_s_words(school, heading, changed, field, sentence):
    told = refused(row_of(school, heading, **changed))
    assert list(told) == [field]
    (said,) = told[field]
    assert said.startswith(sentence)


@pytest.mark.parametrize(
    ("rules", "sentence"),
    [
        ({"wall_mm": -1}, "wall_mm: -1 stands here, but it must be at least 0 and at most 1440; correct it."),
        ({"wal_mm": 6}, 'wal_mm: "wal_mm" stands here, but no such key is known; did you mean wall_mm.'),
        ([6.5], "A list stands here, but it must be an object; write it between { and }."),
    ],
)
def test_house_rules_are_refused_as_a_day_file_refuses_them(school, rules, sentence):
    told = refused(HouseRules(school=school, key="house", name="House rules", rules=rules))
    assert told == {"rules": [sentence]}


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


def test_a_metal_without_recorded_parts_is_fair_if_its_specific_gravity_is_known(school):
    row_of(school, "alloys", composition_pct=None).full_clean()


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
    assert {field.name for field in fields(made)} <= columns
    assert {"key", *model.figures} == {field.name for field in fields(made)}


def test_a_row_stands_in_a_day_file_without_what_is_not_recorded(school):
    # the first size of the shelf's file, whose row gives no more than these; a mount is always said
    assert row_of(school, "flask_sizes").to_day() == {
        "key": "51x64",
        "diameter_mm": 50.8,
        "height_mm": 63.5,
        "count": 5,
        "mount": "cone",
    }
