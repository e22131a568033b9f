"""The integer relaxation over counts: bounds worked by hand on small days."""

from collections import Counter

import pytest

from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds
from casting.calc.grouping.bounds.relaxation import CountRelaxation
from casting.calc.grouping.flask_rules import FlaskRules
from tests.days.day_input import a_day, a_wax, sizes


def relaxation_of(waxes, fixed=None, **counts):
    """The relaxation of a day of these waxes, in the sizes of which there are some."""
    rules = FlaskRules(a_day(waxes, flask_sizes=sizes(**({"small": 0, "middle": 0, "tall": 0} | counts))))
    usable = frozenset(key for key, size in rules.sizes.items() if size.count)
    return CountRelaxation(CombinatorialBounds(rules, usable), list(rules.items.values()), Counter(fixed or {}))


def alike(count, **more):
    return [a_wax(f"w{nth}", wax_g=1.0, **more) for nth in range(count)]


def test_waxes_beyond_the_places_of_the_stock_are_left_out():
    assert relaxation_of(alike(2), small=1).fewest_left_out() == 0  # two to a 51 x 64
    assert relaxation_of(alike(5), small=1).fewest_left_out() == 3


def test_fixed_flasks_take_from_the_stock():
    assert relaxation_of(alike(4), small=2).fewest_left_out() == 0
    assert relaxation_of(alike(4), fixed={"51x64": 1}, small=2).fewest_left_out() == 2


def test_first_pieces_are_left_out_only_where_they_alone_are_too_many():
    waxes = [*alike(2), *(a_wax(f"s{nth}", wax_g=1.0, piece=2) for nth in range(2))]
    assert relaxation_of(waxes, small=1).fewest_first_pieces_out() == 0
    assert relaxation_of(alike(3), small=1).fewest_first_pieces_out() == 1


def test_families_add_up():
    # Two of the school's go into one 51 x 64; Ada's needs one of its own.
    waxes = [*alike(2), a_wax("ada", owner="Ada")]
    assert relaxation_of(waxes, small=5).fewest_flasks(0) == 2
    assert relaxation_of(waxes, small=5).fewest_flasks(1) == 1  # hers left out


def test_families_that_want_the_same_sizes_need_more_flasks_together():
    # Three of each owner. Each three fit a 64 x 64; with one of these, the other three need two 51 x 64.
    waxes = [*alike(3), *(a_wax(f"a{nth}", wax_g=1.0, owner="Ada") for nth in range(3))]
    assert relaxation_of(waxes, middle=2).fewest_flasks(0) == 2
    assert relaxation_of(waxes, small=5, middle=1).fewest_flasks(0) == 3


def test_the_least_cost_takes_the_cheapest_sizes_for_as_many_flasks_as_may_be():
    # Three waxes: a 51 x 64 is 0.728 of powder and 1.00 of button, two are 3.456; a 64 x 64, 1.132 and 1.50, is 2.632.
    relaxation = relaxation_of(alike(3), small=2, middle=1)
    assert relaxation.least_cost(0, 1) == pytest.approx(2.632, abs=1e-4)
    assert relaxation_of(alike(3), small=2).least_cost(0, None) == pytest.approx(3.456, abs=1e-4)
    assert relaxation_of(alike(3), small=2).least_cost(1, None) == pytest.approx(1.728, abs=1e-4)


def test_a_held_wax_is_not_left_out_for_less():
    day = a_day(alike(1), flask_sizes=sizes(small=1, middle=0, tall=0), held={"w0": "A"})
    rules = FlaskRules(day)
    held = CountRelaxation(CombinatorialBounds(rules, frozenset({"51x64"})), list(rules.items.values()), {})
    assert held.fewest_flasks(1) == 1
    assert relaxation_of(alike(1), small=1).fewest_flasks(1) == 0


def test_no_waxes_cost_nothing():
    assert relaxation_of([], small=1).least_cost(0, None) == 0
