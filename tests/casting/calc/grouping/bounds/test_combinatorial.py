"""Combinatorial lower bounds, each worked by hand from the day of `tests.days.day_input`."""

import pytest

from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds, _bins, group_by_sizes
from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.values.enums import Section
from casting.calc.values.tolerances import EASE
from tests.days.day_input import a_day, a_wax


def bounds_of(waxes, *usable, **more):
    return CombinatorialBounds(FlaskRules(a_day(waxes, **more)), frozenset(usable or ("64x64",)))


def flasks_of(waxes, *usable, **more):
    bounds = bounds_of(waxes, *usable, **more)
    return bounds.fewest_flasks(list(bounds.rules.items.values()))


def alike(count, **more):
    return [a_wax(f"w{nth}", **more) for nth in range(count)]


def test_no_waxes_need_no_flask():
    assert flasks_of([]).flasks == 0


def test_by_number():
    # Five waxes, four to a 64 x 64; six to a 76 x 102.
    assert flasks_of(alike(5, wax_g=1.0)).flasks == 2
    assert flasks_of(alike(5, wax_g=1.0), "64x64", "76x102").flasks == 1


def test_by_charge():
    # 5 g is 53.96 g of sterling, with 15 % 62.05 g. Four are 248.2 g, one melt takes 198.5 g.
    found = flasks_of(alike(4, wax_g=5.0))
    assert found.flasks == 2
    assert "215.8 g" in found.because and "198.5 g" in found.because


def test_by_melts_that_hold_one_wax_each():
    # 10 g is 107.9 g, with 15 % 124.1 g, over half of 198.5 g: no two in a melt, though 3 x 124.1 / 198.5 is under 2.
    assert flasks_of(alike(3, wax_g=10.0)).flasks == 3


def test_by_the_lightest_waxes_of_a_melt():
    # 2.9 g is 31.30 g; 198.5 g less the 20 g button of a 76 x 102 is 178.5 g: five go, 156.5 g, and not a sixth, 187.8.
    # By charge: 6 x 31.30 = 187.8 g, with 15 % 215.9 g, so 2 as well; by number six would go into one.
    bounds = bounds_of(alike(6, wax_g=2.9), "76x102")
    found = bounds._by_melt(list(bounds.rules.items.values()))
    assert (found.flasks, "5" in found.because) == (2, True)


def test_by_pairs_that_cannot_share():
    # 28 x 20 mm: no two in the 37.8 mm across that a 51 x 64 has to use (`test_flask_rules`).
    assert flasks_of(alike(3, wax_g=1.0, width_mm=28.0, depth_mm=20.0), "51x64").flasks == 3


def test_sections_too_far_apart_add_up():
    # Five very thin, four to a flask: 2. One heavy, three steps away: 1.
    waxes = [*alike(5, wax_g=1.0, section=Section.VERY_THIN), a_wax("heavy", section=Section.HEAVY)]
    assert flasks_of(waxes).flasks == 3


def test_sections_near_each_other_do_not_add_up():
    waxes = [a_wax("w1", section=Section.MEDIUM), a_wax("w2", section=Section.HEAVY)]
    assert flasks_of(waxes).flasks == 1


def test_waxes_held_under_two_labels_are_incompatible():
    bounds = bounds_of(alike(3), held={"w0": "A", "w1": "B"})
    one, other, free = bounds.rules.items.values()
    assert bounds.are_incompatible(one, other)
    assert not bounds.are_incompatible(one, free)


def test_the_melt_limit_and_the_least_button_are_those_of_the_charge():
    # 24 ml x 80 % x 10.36 = 198.912 g, in steps of 0.5 g 198.5; bronze 160.512 g, 160.5. Button of 64 mm: 15 g.
    bounds = bounds_of([a_wax("w1"), a_wax("w2", alloy="bronze")])
    silver, bronze = bounds.rules.items.values()
    assert bounds.melt_limit_g(silver) == pytest.approx(198.5 + EASE, abs=1e-9)
    assert bounds.melt_limit_g(bronze) == pytest.approx(160.5 + EASE, abs=1e-9)
    assert bounds.least_button_g(silver, "64x64") == pytest.approx(15.0)
    assert bounds.least_button_g(bronze, "64x64") == pytest.approx(15 / 10.36 * 8.36)


def test_a_wax_has_at_least_the_least_share_of_the_sections_from_its_own_up():
    bounds = bounds_of([a_wax("w1"), a_wax("w2", section=Section.HEAVY)])
    medium, heavy = bounds.rules.items.values()
    assert (bounds.share(medium), bounds.share(heavy)) == (0.15, 0.25)


@pytest.mark.parametrize(
    ("weights", "bins"),
    [
        ([], 0),
        ([5, 5], 1),
        ([6, 6, 6], 3),  # over half of 10 each, though they add up to 18
        ([6, 6, 6, 5, 5], 4),  # no 5 goes beside a 6, and two 5 fill one
        ([6, 6, 6, 4, 4, 4], 3),  # each 4 beside a 6
        ([7, 7, 3, 3, 3], 3),  # 23 in all
        ([8, 8, 8, 3, 3], 4),  # no 3 goes beside an 8
    ],
)
def test_the_bound_on_bins_of_ten(weights, bins):
    assert _bins(weights, 10.0) == bins


def test_waxes_are_grouped_by_the_sizes_that_alone_take_them():
    # 36 mm is too tall for the 64 x 64; 60 mm for all but the 76 x 102.
    waxes = [a_wax("any"), a_wax("high", height_mm=36.0), a_wax("higher", height_mm=60.0)]
    bounds = bounds_of(waxes, "51x64", "64x64", "76x102")
    found = {
        " ".join(sorted(sizes)): [item.key for item in items]
        for sizes, items in group_by_sizes(bounds, list(bounds.rules.items.values())).items()
    }
    assert found == {
        "76x102": ["higher"],
        "51x64 76x102": ["high", "higher"],
        "51x64 64x64 76x102": ["any", "high", "higher"],
    }
