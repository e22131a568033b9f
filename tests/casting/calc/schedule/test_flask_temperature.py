"""Bands of flask temperature, and temperatures shared by the flasks of a kiln."""

from casting.calc.schedule.flask_temperature import Band, band_of, share_temperatures
from casting.calc.values.day_input import Alloy
from casting.calc.values.enums import Section
from casting.dayfile.rules_file import rulebook

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
    melt_j_per_g=376.0,
)


def test_a_flask_takes_the_middle_of_its_band_and_the_low_end_when_mixed():
    # (566 + 621) / 2 = 593.5, rounded down; mixed with a heavier section: 566
    assert band_of(STERLING, [Section.THIN], rulebook()) == Band(566, 621, 593)
    assert band_of(STERLING, [Section.MEDIUM, Section.THIN], rulebook()) == Band(566, 621, 566)


def test_no_flask_is_above_704():
    hot = Alloy(
        "hot", "Hot", {"Ag": 100}, 10.5, 961, 962, 1050, {Section.THIN: (690, 760)}, ((64, 10),), melt_j_per_g=400.0
    )
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
