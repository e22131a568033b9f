"""Flask sizes, kilns, firings and house rules refuse what a day file refuses, at the field."""

import pytest

from casting.models import HouseRules
from tests.casting.models.shelf_rows import SHELF, refused, refused_at, row_of


# The limits are those of casting/PLAN_FILE.md.
@pytest.mark.parametrize(
    ("heading", "changed", "field", "sentence"),
    [
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
    assert refused_at(row_of(school, heading, **changed), field).startswith(sentence)


def test_the_rules_of_the_shelf_s_file_are_fair(school):
    HouseRules(school=school, key="house", name="House rules", rules=SHELF["rules"]).full_clean()
    HouseRules(school=school, key="other", name="Only what differs", rules={"hands": 2}).full_clean()
    HouseRules(school=school, key="none", name="The shelf's", rules={}).full_clean()


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
