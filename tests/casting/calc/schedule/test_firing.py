"""Ramps and holds as a kiln runs them, and soaks."""

import pytest

from casting.calc.schedule.firing import fire, ramp_min, soak_of, top_ends_min
from casting.calc.values.day_input import Firing, FlaskSize, Kiln, Segment
from casting.calc.values.enums import Kind
from casting.dayfile.rules_file import rulebook
from tests.contract.soak import core_min

KILN = Kiln("k1", 356, 356, 250, max_ramp_c_per_h=160, cool_c_per_h=150, wall_gap_mm=25)


def size(diameter_mm, height_mm):
    return FlaskSize("any", diameter_mm, height_mm, diameter_mm + 4, 1, 10, 24, 3, 16, 4)


def test_a_ramp_goes_up_to_the_whole_minute():
    # (149 - 20) / 167 x 60 = 46.35 min by hand
    assert ramp_min(20, 149, 167) == 47
    # exactly 60 min stays 60
    assert ramp_min(20, 170, 150) == 60


def test_a_firing_runs_at_the_slower_of_firing_and_kiln():
    firing = Firing(
        "6h", 64, 77, frozenset({Kind.WAX}), (Segment(167, 149, 120), Segment(100, 371, 60), Segment(167, 732, 120))
    )
    first, second, third = fire(firing, KILN)
    # 129 C at 160 C/h = 48.375 -> 49 min; hold 120 -> ends at 169
    assert (first.ramp_c_per_h, first.starts_at, first.reached_at, first.ends_at) == (160, 0, 49, 169)
    # 222 C at 100 C/h = 133.2 -> 134 min
    assert (second.ramp_c_per_h, second.reached_at, second.ends_at) == (100, 169 + 134, 169 + 134 + 60)
    # 361 C at 160 C/h = 135.375 -> 136 min
    assert (third.reached_at, third.ends_at) == (363 + 136, 363 + 136 + 120)


def test_practice_is_the_floor_of_a_soak():
    # common practice, as the plan file has it
    assert soak_of(size(50.8, 63.5), 194, after_top=True, book=rulebook()).needed_min == 60
    assert soak_of(size(63.5, 63.5), 194, after_top=True, book=rulebook()).needed_min == 60
    assert soak_of(size(76.2, 76.2), 194, after_top=True, book=rulebook()).needed_min == 60
    assert soak_of(size(101.6, 101.6), 194, after_top=True, book=rulebook()).needed_min == 120
    assert soak_of(size(63.5, 102.1), 194, after_top=True, book=rulebook()).needed_min == 120
    assert soak_of(size(63.5, 63.5), 101, after_top=False, book=rulebook()).needed_min == 60
    assert soak_of(size(50.8, 63.5), 100, after_top=False, book=rulebook()).needed_min == 30
    assert soak_of(size(127, 178), 15, after_top=False, book=rulebook()).needed_min == 30


@pytest.mark.parametrize(
    ("diameter_mm", "height_mm", "fall_c", "after_top"),
    [(88.9, 101.6, 194, True), (127, 177.8, 194, True), (76.2, 101.6, 194, True), (88.9, 101.6, 100, False),
     (101.6, 101.6, 100, False), (101.6, 152.4, 55, False)],
)  # fmt: skip
def test_a_core_that_takes_longer_than_practice_gets_it(diameter_mm, height_mm, fall_c, after_top):
    # computed: finite volumes of the contract's check, which shares no code with the series
    flask = {"diameter_mm": diameter_mm, "height_mm": height_mm}
    needed = core_min(flask, fall_c)
    assert needed > (30 if not after_top else 120 if diameter_mm > 89 else 60)
    found = soak_of(size(diameter_mm, height_mm), fall_c, after_top, rulebook()).needed_min
    assert needed - 0.1 <= found < needed + 1.1


def test_the_time_to_the_end_of_the_top_hold_leaves_out_the_fall_after_it():
    # by hand: 100 C at 100 C/h, 30 min, 100 C at 200 C/h, 60 min at the top; the fall to 120 C is left out
    segments = [Segment(100, 120, 30), Segment(200, 220, 60), Segment(50, 120, 45)]
    assert top_ends_min(segments) == 60 + 30 + 30 + 60
    # the top in two parts: both count
    assert top_ends_min([Segment(100, 120, 30), Segment(100, 120, 15)]) == 60 + 45
