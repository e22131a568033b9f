"""Rounding up to a step, and rows by diameter."""

import pytest

from casting.calc.quantities.lookup import by_diameter, up_to_step

BUTTONS = ((51, 10), (64, 15), (77, 20), (102, 35))


def test_a_value_between_two_steps_goes_up_and_one_on_a_step_stays():
    assert up_to_step(49.53, 0.5) == 50.0
    assert up_to_step(49.5, 0.5) == 49.5
    # 0.1 + 0.2 is 0.30000000000000004 in binary: three steps of 0.1, not four
    assert up_to_step(0.1 + 0.2, 0.1) == pytest.approx(0.3)


def test_a_flask_takes_the_first_row_at_least_as_large():
    assert by_diameter(BUTTONS, 50.8) == 10
    assert by_diameter(BUTTONS, 51.0009) == 10  # within the margin of 0.001 mm
    assert by_diameter(BUTTONS, 51.002) == 15
    assert by_diameter(BUTTONS, 76.2) == 20


def test_a_flask_beyond_the_table_takes_its_last_row():
    assert by_diameter(BUTTONS, 127.0) == 35
