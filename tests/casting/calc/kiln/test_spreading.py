"""Flasks on a kiln's floor: 25 mm apart where they fit, never nearer than the least gap, the first out in front."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from casting.calc.kiln.loading import ShelfFlask, shelf_faults
from casting.calc.kiln.spreading import spread
from casting.calc.values.day_input import Kiln, Rules
from casting.calc.values.enums import Kind
from tests.days import class_day

RULES = Rules(**class_day.RULES)
KILN = Kiln("k1", 356, 356, 250, 250, 150, 25)


def flasks(*outsides_mm: float) -> list[ShelfFlask]:
    return [ShelfFlask(f"F{i}", mm, mm - 4, 64, Kind.WAX) for i, mm in enumerate(outsides_mm)]


def narrowest(load, places):
    """The least gap between two flasks."""
    return min(
        math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm)) - (one.outside_mm + other.outside_mm) / 2
        for (one, a), (other, b) in combinations(zip(load, places, strict=True), 2)
    )


def test_flasks_stand_25_mm_apart_where_they_fit():
    load = flasks(68, 68, 55, 55)
    assert narrowest(load, spread(KILN, RULES, load, 25)) >= 25 - 0.002


def test_a_full_kiln_keeps_the_widest_gap_that_was_found_and_never_less_than_the_least():
    # 356 - 50 leaves 306 mm: three flasks of 86 in a row leave 306 - 258 = 48 for two gaps: 24 mm, not 25.
    row = replace(KILN, depth_mm=144)
    load = flasks(86, 86, 86)
    assert 24 - 0.002 <= narrowest(load, spread(row, RULES, load, 25)) < 25
    # At 12 mm: 3 x 94 + 24 = 306, just the width; nothing is left to spread.
    tight = flasks(94, 94, 94)
    assert 12 - 0.002 <= narrowest(tight, spread(row, RULES, tight, 25)) < 12.01
    assert spread(row, RULES, flasks(95, 95, 95), 25) is None


def test_a_least_gap_over_25_is_kept():
    load = flasks(55, 55)
    assert narrowest(load, spread(KILN, replace(RULES, kiln_gap_mm=30), load, 25)) >= 30 - 0.002


def test_the_first_out_stands_nearest_the_door():
    load = flasks(68, 93, 55, 68, 55)
    places = spread(KILN, RULES, load, 25)
    assert places[0].y_mm <= min(places[3].y_mm, places[1].y_mm) and places[2].y_mm <= places[4].y_mm
    # Turned round, the doors' flask is another one.
    turned = spread(KILN, RULES, load[::-1], 25)
    assert turned[0].y_mm <= turned[2].y_mm


def test_a_flask_too_high_or_none_at_all():
    assert spread(KILN, RULES, [replace(flasks(68)[0], height_mm=201)], 25) is None  # 250 - 25 - 25 = 200 mm
    assert spread(KILN, RULES, [], 25) == []


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from([55.0, 67.0, 80.0, 93.0]), min_size=1, max_size=9))
def test_every_load_is_valid_and_those_alike_come_out_from_the_front(outsides_mm):
    load = flasks(*outsides_mm)
    places = spread(KILN, RULES, load, 25)
    if places is None:
        return
    assert not shelf_faults(KILN, RULES, load, places)
    for (one, a), (other, b) in combinations(zip(load, places, strict=True), 2):
        assert one.outside_mm != other.outside_mm or a.y_mm <= b.y_mm
    assert spread(KILN, RULES, load, 25) == places
