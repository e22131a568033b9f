"""Flask sizes, kilns and house rules: what fills in the keys that are left out."""

from __future__ import annotations

from dataclasses import fields as fields_of

import pytest

from casting.calc.values.day_input import Rules
from casting.calc.values.enums import Aim
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
