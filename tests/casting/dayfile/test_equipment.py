"""Flask sizes, kilns and house rules: what fills in the keys that are left out."""

from __future__ import annotations

from dataclasses import fields as fields_of

import pytest

from casting.calc.values.day_input import Rules
from casting.calc.values.enums import Aim
from casting.calc.values.errors import Refused
from casting.dayfile import read
from tests.days.example_file import GONE, bare, changed


def test_rules_fall_back_key_by_key() -> None:
    rules = read(bare(rules={"hands": 1})).day.rules
    assert (rules.hands, rules.wall_mm, rules.aim) == (1, 6.5, Aim.FEWEST_POURS)


def test_the_shelf_s_rules_are_those_of_the_page() -> None:
    shelf = read(bare()).day.rules
    page = read(changed()).day.rules
    for rule in fields_of(Rules):
        assert getattr(shelf, rule.name) == getattr(page, rule.name)


# by diameter, from the table in casting/PLAN_FILE.md; cover = max(13, diameter / 4), outside = diameter + 4
@pytest.mark.parametrize(
    ("diameter_mm", "hub_mm", "waxes_max", "cover_mm", "outside_mm"),
    [
        (50.8, 19, 2, 13, 54.8),
        (51, 19, 2, 13, 55),
        (51.1, 24, 4, 13, 55.1),
        (63.5, 24, 4, 15.875, 67.5),
        (76.2, 27, 6, 19.05, 80.2),
        (88.9, 32, 7, 22.225, 92.9),
        (101.6, 36, 8, 25.4, 105.6),
        (150, 36, 8, 37.5, 154),
    ],
)
def test_a_size_s_defaults_go_by_its_diameter(diameter_mm, hub_mm, waxes_max, cover_mm, outside_mm):
    sizes = [{"key": "s", "diameter_mm": diameter_mm, "height_mm": 64, "count": 1}]
    (size,) = read(bare(flask_sizes=sizes)).day.flask_sizes
    assert (size.hub_mm, size.waxes_max, size.base_mm, size.rim_mm) == (hub_mm, waxes_max, 10, 3)
    assert (size.cover_mm, size.outside_mm) == pytest.approx((cover_mm, outside_mm))


def test_a_kiln_without_a_gap_keeps_25_mm_from_its_walls() -> None:
    assert read(changed(("kilns[0].wall_gap_mm", GONE))).day.kilns[0].wall_gap_mm == 25


# Each says the place, what stands there, the limit and what to do; the limits are those of casting/PLAN_FILE.md.
SENTENCES = [
    (
        ("firings[0].segments[0].ramp_c_per_h", 0),
        "firings[0].segments[0].ramp_c_per_h: 0 stands here, but it must be at least 1 and at most 5000; give C an "
        "hour, as fast as your kiln climbs if in doubt.",
    ),
    (
        ("firings[0].segments[0].hold_min", -5),
        "firings[0].segments[0].hold_min: -5 stands here, but it must be at least 0 and at most 10000; give minutes, "
        "0 for no hold.",
    ),
    (
        ("firings[0].segments[1].to_c", 140),
        "firings[0].segments[1].to_c: 140 stands here, but the firing falls from 149 C and rises again to 732 C; let "
        "it rise to its top, and from there only fall.",
    ),
    # 1350 F less 32, over 1.8, is 732.2 C
    (
        ("firings[0].segments[2].to_c", 1350),
        "firings[0].segments[2].to_c: 1350 C is too hot for this powder (750 C). Did you mean 1350 F, which is 732 C?",
    ),
    (
        ("firings[0].segments[2].to_c", 751),
        "firings[0].segments[2].to_c: 751 C is too hot for this powder (750 C). Give a cooler firing in C, or the "
        "powder's own limit.",
    ),
    (
        ("kilns[0].max_ramp_c_per_h", 0),
        "kilns[0].max_ramp_c_per_h: 0 stands here, but it must be at least 1 and at most 5000; give the C an hour that "
        "it climbs at full power.",
    ),
    (
        ("kilns[0].cool_c_per_h", -150),
        "kilns[0].cool_c_per_h: -150 stands here, but it must be at least 1 and at most 5000; give the C an hour that "
        "it falls by, door shut.",
    ),
    (
        ("kilns[0].max_c", 2000),
        "kilns[0].max_c: 2000 C is too hot for a burnout kiln (1400 C). Did you mean 2000 F, which is 1093 C?",
    ),
    (
        ("kilns[0].max_c", 20),
        "kilns[0].max_c: 20 stands here, but it must be at least 100 and at most 5000; look at its plate, and give C.",
    ),
    (
        ("alloys[0].flask_c.thin", [1000, 1100]),
        "alloys[0].flask_c.thin: 1000 C is too hot for a flask (704 C). Did you mean 1000 F, which is 538 C?",
    ),
]


@pytest.mark.parametrize(("change", "sentence"), SENTENCES, ids=[change[0] for change, _sentence in SENTENCES])
def test_a_slip_is_refused_with_its_place_its_value_the_limit_and_what_to_do(change, sentence):
    with pytest.raises(Refused) as refused:
        read(changed(change))
    assert str(refused.value) == sentence


def test_a_powder_that_takes_more_than_any_firing_may_have_does_not_lift_that_limit() -> None:
    with pytest.raises(Refused, match=r"789 C is too hot for any investment \(788 C\)\. Give a cooler firing in C\."):
        read(changed(("investment.max_c", 1000), ("firings[0].segments[2].to_c", 789)))


def test_a_kiln_s_highest_temperature_is_not_recorded_until_it_is_given() -> None:
    assert read(changed()).day.kilns[0].max_c is None
    assert read(changed(("kilns[0].max_c", 1100))).day.kilns[0].max_c == 1100
