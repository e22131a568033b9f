"""The pricer: it adds columns while one has a reduced profit, lists all over a floor, and adds none that is refuted."""

import pytest

from casting.calc.geometry.infeasibility import cannot_share
from casting.calc.grouping.colgen.bounding import NONE
from casting.calc.grouping.colgen.goals import goals_of
from casting.calc.grouping.colgen.master import RestrictedMaster
from casting.calc.grouping.colgen.pricer import Pricer
from tests.casting.calc.grouping.colgen.problems import bounds_of, columns_of, evaluator_of
from tests.days.class_day import class_day

MANY = 10**6


def optimum(evaluator, goal_number):
    """A master whose LP no column can better, its pricer and its dual values."""
    master = RestrictedMaster(evaluator, evaluator.stock, sorted(evaluator.rules.items), {})
    pricer, goal = Pricer(evaluator, bounds_of(evaluator), master), goals_of(evaluator, master.waxes)[goal_number]
    for _ in range(100):
        duals = master.solve_lp(goal, [], frozenset(), NONE).duals
        if not pricer.add_columns(duals, MANY)[0]:
            return master, pricer, duals
    raise AssertionError("pricing comes to no end")


@pytest.mark.parametrize("goal", [2, 3])
def test_when_it_adds_no_more_no_column_of_the_day_has_a_reduced_profit(goal):
    evaluator = evaluator_of(class_day(104, 12))
    master, pricer, duals = optimum(evaluator, goal)
    assert pricer.add_columns(duals, MANY) == (0, pytest.approx(0.0, abs=1e-6))
    for keys, size in columns_of(evaluator):
        footprints = [evaluator.rules.items[key].footprint for key in sorted(keys)]
        if evaluator.rules.allows(keys, size) and not cannot_share(footprints, evaluator.rules.bases[size]):
            number = master.add(keys, size, to_lp=False)
            assert master.reduced_profits(duals, [number])[0] <= 1e-5


def test_all_columns_over_a_floor_are_those_of_a_full_list():
    evaluator = evaluator_of(class_day(104, 12))
    master, pricer, duals = optimum(evaluator, 3)
    floor = -2.0
    listed = pricer.all_columns(duals, floor, MANY, MANY)
    assert len(listed) > 20
    assert min(master.reduced_profits(duals, listed)) > floor - 1e-6
    by_hand = {
        (keys, size)
        for keys, size in columns_of(evaluator)
        if master.reduced_profits(duals, [master.add(keys, size, to_lp=False)])[0] > floor + 1e-6
        and evaluator.rules.allows(keys, size)
        and not cannot_share(
            [evaluator.rules.items[key].footprint for key in sorted(keys)], evaluator.rules.bases[size]
        )
    }
    assert by_hand <= {(master.columns[number].keys, master.columns[number].size) for number in listed}
    assert pricer.all_columns(duals, floor, MANY, len(listed) - 1) is None


def test_the_best_columns_are_the_first_of_all_by_reduced_profit():
    evaluator = evaluator_of(class_day(104, 12))
    master, pricer, duals = optimum(evaluator, 3)
    best = pricer.best_columns(duals, -2.0, 10, 9.0, 0.0)
    profits = sorted(master.reduced_profits(duals, pricer.all_columns(duals, -2.0, MANY, MANY)), reverse=True)
    assert list(master.reduced_profits(duals, best)) == pytest.approx(profits[:10], abs=1e-6)
