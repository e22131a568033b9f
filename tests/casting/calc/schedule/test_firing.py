"""Firing, soak and shared flask temperatures."""

from casting.calc.schedule.firing import fire, ramp_min, soak_needed_min
from casting.calc.schedule.flask_temperature import Band, band_of, share_temperatures
from casting.calc.values.day_input import Alloy, Firing, FlaskSize, Kiln, Segment
from casting.calc.values.enums import Kind, Section
from casting.dayfile.rules_file import rulebook

KILN = Kiln("k1", 356, 356, 250, max_ramp_c_per_h=160, cool_c_per_h=150, wall_gap_mm=25)
STERLING = Alloy(
    "sterling",
    "Sterling silver",
    {"Ag": 92.5, "Cu": 7.5},
    10.36,
    802,
    893,
    970,
    {
        Section.VERY_THIN: (621, 677),
        Section.THIN: (566, 621),
        Section.MEDIUM: (510, 566),
        Section.HEAVY: (399, 482),
    },
    ((64, 10), (90, 15), (102, 20)),
)


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


def test_soak_is_by_size_after_the_fall_and_short_after_a_small_step():
    # common practice, as the plan file has it
    assert soak_needed_min(size(63.5, 63.5), 194, after_top=True, book=rulebook()) == 60
    assert soak_needed_min(size(88.9, 101.6), 194, after_top=True, book=rulebook()) == 60
    assert soak_needed_min(size(101.6, 101.6), 194, after_top=True, book=rulebook()) == 120
    assert soak_needed_min(size(63.5, 102.1), 194, after_top=True, book=rulebook()) == 120
    assert soak_needed_min(size(101.6, 101.6), 100, after_top=False, book=rulebook()) == 30
    assert soak_needed_min(size(63.5, 63.5), 101, after_top=False, book=rulebook()) == 60


def test_a_flask_takes_the_middle_of_its_band_and_the_low_end_when_mixed():
    # (566 + 621) / 2 = 593.5, rounded down; mixed with a heavier section: 566
    assert band_of(STERLING, [Section.THIN], rulebook()) == Band(566, 621, 593)
    assert band_of(STERLING, [Section.MEDIUM, Section.THIN], rulebook()) == Band(566, 621, 566)


def test_no_flask_is_above_704():
    hot = Alloy("hot", "Hot", {"Ag": 100}, 10.5, 961, 962, 1050, {Section.THIN: (690, 760)}, ((64, 10),))
    # the middle, 725, is above the most that common practice uses
    assert band_of(hot, [Section.THIN], rulebook()) == Band(690, 704, 704)


def test_flasks_share_a_temperature_only_with_one_that_has_it_of_itself():
    bands = {"A": Band(566, 621, 593), "B": Band(510, 566, 538), "C": Band(566, 621, 566)}
    # 566 meets all three: one temperature, and C has it of itself
    assert share_temperatures(bands) == {"A": 566, "B": 566, "C": 566}


def test_bands_that_do_not_meet_keep_their_own_temperatures():
    bands = {"A": Band(566, 621, 593), "B": Band(399, 482, 440)}
    assert share_temperatures(bands) == {"A": 593, "B": 440}


def test_of_equally_few_temperatures_the_least_moved_is_taken():
    bands = {"A": Band(510, 566, 538), "B": Band(510, 620, 560), "C": Band(520, 570, 545)}
    # 538: moves 22 + 7 = 29; 545: 7 + 15 = 22; 560: 22 + 15 = 37
    assert set(share_temperatures(bands).values()) == {545}
