"""A figure in the words of the bench and the units of the school."""

import pytest

from casting.presenters.figure_words import Reader, limit_line, what_of
from school.models import School

CELSIUS = Reader(School(currency="USD"))
FAHRENHEIT = Reader(School(currency="USD", weight_unit="dwt", temperature_unit="F", length_unit="in"))


@pytest.mark.parametrize(
    ("figure", "value", "celsius", "fahrenheit"),
    [
        # by hand: 970 x 1.8 + 32 = 1778; 566 -> 1050.8, 621 -> 1149.8
        ("pour_c", 970, ["970\u202f°C"], ["1778\u202f°F"]),
        ("flask_c.thin", [566, 621], ["566\u202f°C to 621\u202f°C"], ["1051\u202f°F to 1150\u202f°F"]),
        # 64 / 25.4 = 2.52
        ("quench_min_by_diameter", [[64, 10]], ["to 64\u202fmm: 10 min"], ["to 2.52\u202fin: 10 min"]),
        # 6.5 / 25.4 = 0.256
        ("wall_mm", 6.5, ["6.5\u202fmm"], ["0.26\u202fin (6.5\u202fmm)"]),
        # 200 / 1.55517384 = 128.603
        ("melt_max_g", 200, ["200\u202fg"], ["128.60\u202fdwt (200\u202fg)"]),
        # 1.1 x 1.55517384 = 1.7107
        ("price_per_g", 1.1, ["1.10 USD a gram"], ["1.10 USD a gram", "1.71 USD a dwt"]),
        ("cool_c_per_h", 150, ["150\u202f°C/h"], ["270\u202f°F/h"]),
        ("working_min", 9.5, ["9.5 min"], ["9.5 min"]),
        ("set_min", 120, ["2 h"], ["2 h"]),
        ("quench_by_min", None, ["none"], ["none"]),
        ("price_per_kg", None, ["not recorded"], ["not recorded"]),
        ("ash", None, ["not recorded"], ["not recorded"]),
        ("ash", False, ["no"], ["no"]),
        ("mount_min_per_wax", 4, ["4 min"], ["4 min"]),
        ("water_per_100", 40, ["40 g to 100 g of powder"], ["40 g to 100 g of powder"]),
        ("kinds", ["resin", "wax"], ["wax and resin"], ["wax and resin"]),
        ("aim", "fewest_pours", ["fewest pours"], ["fewest pours"]),
        ("composition_pct", {"Ag": 92.5, "Zn": None}, *[["Ag\u202f92.5\u202f%, Zn\u202fnot recorded"]] * 2),
    ],
)
def test_a_value_is_in_the_units_of_the_school(figure, value, celsius, fahrenheit):
    assert CELSIUS.lines(figure, value) == celsius
    assert FAHRENHEIT.lines(figure, value) == fahrenheit


def test_a_firing_is_told_ramp_by_ramp():
    segments = [{"ramp_c_per_h": 167, "to_c": 149, "hold_min": 120}]
    assert CELSIUS.lines("segments", segments) == ["167\u202f°C/h to 149\u202f°C, hold 2 h"]


def test_a_figure_without_words_of_its_own_is_told_by_its_name():
    assert what_of("pour_c") == "metal temperature at the pour"
    assert what_of("door_open_min") == "door open"
    assert CELSIUS.lines("door_open_min", 5) == ["5 min"]


def test_a_limit_is_rounded_as_in_the_words_of_its_rule():
    # 732 C is 1349.6 F: what must not be passed is rounded down.
    assert limit_line(FAHRENHEIT, "firing_top_high_c", 732, "above {firing_top_high_c}\u202f°C") == "1349\u202f°F"
    assert limit_line(FAHRENHEIT, "firing_top_high_c", 732, "") == "1350\u202f°F"


def test_a_ramp_in_the_words_of_its_rule_stays_a_ramp():
    # 170 C an hour is 306 F an hour; as a temperature it would be 338 F.
    words = "Over {ramp_wide_c_per_h}\u202f°C/h steam cracks it."
    assert limit_line(FAHRENHEIT, "ramp_wide_c_per_h", 170, words) == "306\u202f°F/h"


def test_a_difference_of_temperatures_takes_no_32():
    assert limit_line(FAHRENHEIT, "superheat_most_c", 250, "").startswith("450")
    assert limit_line(FAHRENHEIT, "soak_short_to_c", 100, "").startswith("180")
    assert limit_line(FAHRENHEIT, "rise_after_top_most_c", 10, "").startswith("18")
