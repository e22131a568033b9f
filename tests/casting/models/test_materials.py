"""Metals, pattern materials and powders refuse what a day file refuses, at the field."""

import pytest

from tests.casting.models.shelf_rows import refused_at, row_of


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
    ],
)
def test_a_mistake_is_refused_at_its_field_in_the_reader_s_words(school, heading, changed, field, sentence):
    assert refused_at(row_of(school, heading, **changed), field).startswith(sentence)


def test_a_metal_without_recorded_parts_is_fair_if_its_specific_gravity_is_known(school):
    row_of(school, "alloys", composition_pct=None).full_clean()
