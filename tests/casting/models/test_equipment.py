"""Flask sizes, kilns, firings and house rules refuse what a day file refuses, at the field."""

import pytest

from casting.models import HouseRules, Investment, Kiln
from casting.services.stock import stock_school
from tests.casting.models.shelf_rows import SHELF, refused, refused_at, row_of
from tests.days.class_day import segments


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
            "[0].ramp_c_per_h: 0 stands here, but it must be at least 1 and at most 5000; "
            "give C an hour, as fast as your kiln climbs if in doubt.",
        ),
        ("firings", {"segments": {"to_c": 149}}, "segments", "An object stands here, but it must be a list; "),
    ],
)
def test_a_mistake_is_refused_at_its_field_in_the_reader_s_words(school, heading, changed, field, sentence):
    assert refused_at(row_of(school, heading, **changed), field).startswith(sentence)


# A kiln's, a flask's and a powder's own figures meet where a row of the shelf is typed, too.
def test_a_flask_too_tall_for_every_kiln_is_refused_at_its_height(school):
    stock_school(school)
    Kiln.objects.filter(school=school).update(height_mm=190)
    # 190 less 25 under and 25 over it leaves 140
    tall = row_of(school, "flask_sizes", key="tall", height_mm=203.2)
    assert refused_at(tall, "height_mm") == (
        "203.2 stands here, but no kiln is high enough: Kiln 1 has 190 mm, of which 25 mm stay free under a flask and "
        "25 mm over it, so it takes 140 mm; measure both, or enter a higher kiln first."
    )
    row_of(school, "flask_sizes", key="just", height_mm=140).full_clean()
    # one that nobody works with may stand in the list
    row_of(school, "flask_sizes", key="old", height_mm=203.2, offered=False).full_clean()
    Kiln.objects.filter(school=school).update(offered=False)
    tall.full_clean()


def test_a_firing_hotter_than_the_school_s_powder_is_refused_at_its_segments(school):
    stock_school(school)

    def rising_to(heat_c):
        return row_of(school, "firings", key="own", segments=segments((149, 120), (heat_c, 120)))

    rising_to(750).full_clean()
    assert refused_at(rising_to(1350), "segments") == (
        "[1].to_c: 1350 C is too hot for this powder (750 C). Did you mean 1350 F, which is 732 C?"
    )
    assert refused_at(rising_to(760), "segments") == (
        "[1].to_c: 760 C is too hot for this powder (750 C). Give a cooler firing in C, or the powder's own limit."
    )
    Investment.objects.filter(school=school).update(max_c=780)
    rising_to(760).full_clean()


def test_a_kiln_s_highest_temperature_may_stay_empty_and_is_no_slip(school):
    for heat_c in (None, 1100):
        row_of(school, "kilns", key="own", max_c=heat_c).full_clean()
    said = refused_at(row_of(school, "kilns", key="own", max_c=2000), "max_c")
    assert said == "2000 C is too hot for a burnout kiln (1400 C). Did you mean 2000 F, which is 1093 C?"


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
