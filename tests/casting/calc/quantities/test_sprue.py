"""Sprues by the thickest part: thickness, gauge, number."""

from dataclasses import replace

import pytest

from casting.calc.quantities.sprue import gauge_for, gauge_mm, sprues_for
from casting.calc.values.enums import Stones
from casting.dayfile.rules_file import rulebook
from tests.days.day_input import a_wax

WAX_SG = 0.96


def sprues(**changes):
    return sprues_for(replace(a_wax("w1"), **changes), WAX_SG, rulebook())


def test_a_sprue_is_at_least_as_thick_as_the_thickest_part():
    # common practice: diameter at least that of the thickest part
    found = sprues(thickest_mm=3.0)
    assert (found.least_mm, found.gauge, found.longest_mm) == (3.0, 8, 10)


def test_what_nobody_measured_is_not_guessed():
    found = sprues()
    assert (found.least_mm, found.gauge, found.thick_parts) == (None, None, None)


# 0.127 mm x 92^((36 - n) / 39): gauge 10 is 2.588, 9 2.906, 8 3.264, 0 8.251 mm, worked with a calculator
@pytest.mark.parametrize(
    ("least_mm", "gauge"), [(2.588, 10), (2.59, 9), (3.264, 8), (3.266, 7), (8.25, 0), (8.26, None), (0.9, 19)]
)
def test_the_gauge_is_the_thinnest_that_is_thick_enough(least_mm, gauge):
    assert gauge_for(least_mm) == gauge
    if gauge is not None:
        assert gauge_mm(gauge) >= least_mm - 0.001 > gauge_mm(gauge + 1) - 0.001


@pytest.mark.parametrize(
    ("changes", "count"),
    [
        ({}, 1),
        ({"thick_parts": 1}, 1),
        # one sprue for each thick part that a thin one cuts off
        ({"thick_parts": 2}, 2),
        ({"thick_parts": 4}, 4),
        # wider than 30 mm, heavier than 4 ml of wax (3.84 g of 0.96)
        ({"width_mm": 30.0}, 1),
        ({"width_mm": 30.1}, 2),
        ({"wax_g": 3.84}, 1),
        ({"wax_g": 3.85}, 2),
        ({"wax_g": 3.85, "thick_parts": 3}, 3),
        # 10, 2 and 6 o'clock
        ({"stones": Stones.TAKE_FIRING}, 3),
    ],
)
def test_how_many_sprues(changes, count):
    assert sprues(**{"wax_g": 2.0} | changes).count == count
