"""The restricted master: its LP bounds, its dual values and its MIP agree with each other and with sums by hand."""

import pytest

from casting.calc.grouping.colgen.bounding import NONE
from casting.calc.grouping.colgen.goals import goals_of, limit_of
from casting.calc.grouping.colgen.master import RestrictedMaster
from tests.casting.calc.grouping.colgen.problems import columns_of, evaluator_of
from tests.days.class_day import class_day
from tests.days.day_file import a_day_file, wax_row


def test_a_plan_that_leaves_one_wax_out_is_not_measured_against_one_and_a_half():
    # Three waxes, each in a flask of its own, and two flasks on the shelf: one stays out, so the two cheapest are
    # the least that any plan costs. A half of another left out would take half its flask off.
    evaluator = evaluator_of(a_day_file([wax_row("w1"), wax_row("w2"), wax_row("w3")]))
    size = evaluator.rules.alone["w1"][0]
    master = RestrictedMaster(evaluator, {size: 2}, sorted(evaluator.rules.items), {})
    numbers = [master.add(frozenset([key]), size) for key in sorted(evaluator.rules.items)]
    _, left, _, cost = goals_of(evaluator, sorted(evaluator.rules.items))
    found = master.solve_lp(cost, [limit_of(left, 1)], evaluator.rules.items, NONE)
    costs = sorted(master.columns[number].cost for number in numbers)
    assert found is not None
    assert found.duals.lower_bound == pytest.approx(costs[0] + costs[1], rel=1e-4)
    whole = master.solve_mip(cost, [limit_of(left, 1)], evaluator.rules.items, numbers, 100)
    assert whole.is_complete
    assert whole.lower_bound == pytest.approx(costs[0] + costs[1])


def test_the_dual_values_prove_the_optimum_and_leave_no_column_a_reduced_profit():
    evaluator = evaluator_of(class_day(104, 12))
    loose = sorted(evaluator.rules.items)
    master = RestrictedMaster(evaluator, evaluator.stock, loose, {})
    for keys, size in sorted(columns_of(evaluator), key=lambda one: (sorted(one[0]), one[1])):
        master.add(keys, size)
    goal = goals_of(evaluator, loose)[2]
    lp = master.solve_lp(goal, [], [], NONE)
    assert lp.duals.lower_bound == pytest.approx(lp.objective, abs=1e-6)
    for column in master.columns:
        profit = sum(lp.duals.wax[key] for key in column.keys) - lp.duals.fixed_cost(column.size, column.family)
        assert profit <= 1e-6
    assert master.solve_mip(goal, [], [], range(len(master.columns)), 400).lower_bound >= lp.objective - 1e-6


def test_a_reduced_profit_is_the_waxes_dual_values_less_fixed_cost_and_cost():
    evaluator = evaluator_of(class_day(104, 12))
    master = RestrictedMaster(evaluator, evaluator.stock, sorted(evaluator.rules.items), {})
    for keys, size in sorted(columns_of(evaluator), key=lambda one: (sorted(one[0]), one[1]))[:60]:
        master.add(keys, size)
    goal = goals_of(evaluator, sorted(evaluator.rules.items))[3]
    duals = master.solve_lp(goal, [], frozenset(evaluator.rules.items), NONE).duals
    by_hand = [
        sum(duals.wax[key] for key in one.keys) - duals.fixed_cost(one.size, one.family) - duals.per_cost * one.cost
        for one in master.columns
    ]
    assert master.reduced_profits(duals, range(len(master.columns))).tolist() == pytest.approx(by_hand)


def test_a_chosen_column_is_used_whole():
    evaluator = evaluator_of(class_day(104, 12))
    loose = sorted(evaluator.rules.items)
    master = RestrictedMaster(evaluator, evaluator.stock, loose, {})
    for keys, size in sorted(columns_of(evaluator), key=lambda one: (sorted(one[0]), one[1])):
        master.add(keys, size)
    goal = goals_of(evaluator, loose)[2]
    free = master.solve_lp(goal, [], [], NONE)
    single = next(n for n, column in enumerate(master.columns) if len(column.keys) == 1 and n not in free.used)
    bound = master.solve_lp(goal, [], [], NONE, {single})
    assert bound.amounts[bound.used.index(single)] >= 1 - 1e-9
    assert bound.objective >= free.objective - 1e-9
