"""What a day is made of: found by key, called as people call it."""

from dataclasses import replace

import pytest

from casting.calc.values.day_input import Firing
from casting.calc.values.enums import Kind
from tests.days.day_input import KILN, MIDDLE, SMALL, a_day, a_wax


def test_a_size_and_a_wax_are_found_by_key():
    day = a_day([a_wax("w2"), a_wax("w1", height_mm=31.0)])
    assert day.size("64x64") is MIDDLE
    assert day.wax("w1").height_mm == 31.0


@pytest.mark.parametrize("find", [lambda day: day.size("7x7"), lambda day: day.wax("w9")])
def test_an_unknown_key_is_an_error_that_names_it(find):
    with pytest.raises(KeyError, match=r"7x7|w9"):
        find(a_day([a_wax("w1")]))


def test_a_thing_is_called_by_its_name_and_without_one_by_its_measures_or_key():
    assert replace(SMALL, name="2 x 2.5 perforated").called == "2 x 2.5 perforated"
    for name in ("", SMALL.key):
        assert replace(SMALL, name=name).called == "50.8 × 63.5\u2060 mm"
    assert replace(KILN, name="Front kiln").called == "Front kiln"
    assert replace(KILN, name="").called == "kiln k1"


def test_a_kiln_s_load_counts_each_flask_with_its_gap():
    # by hand: (400 - 2 x 25 + 12)^2 = 131044 mm2; (67 + 12)^2 = 6241 mm2, twice: 9.5 %
    assert KILN.load_pct([67, 67], 12) == pytest.approx(9.525, abs=0.001)
    assert KILN.load_pct([], 12) == 0


def test_a_firing_is_called_by_what_it_fires_and_never_by_its_key():
    of_wax = Firing("8h", 76.2, 102.0, frozenset({Kind.WAX}), ())
    assert of_wax.called == "the wax firing for flasks up to 76.2 x 102 mm"
    assert replace(of_wax, kinds=frozenset(Kind)).called == "the firing for flasks up to 76.2 x 102 mm"
