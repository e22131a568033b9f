"""Stability: of plans that cost the same, the one in which fewest waxes move."""

from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds
from casting.calc.grouping.bounds.proof import usable_sizes
from casting.calc.grouping.budget import Budget
from casting.calc.grouping.colgen.stability import minimise_moves
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.solution import Candidate, Flask
from casting.calc.values.day_input import Previous
from tests.days.day_input import a_day, a_wax, sizes


def test_at_the_same_cost_the_waxes_that_need_not_move_stay():
    # Eight alike, four to a flask: any two fours cost the same. From a plan that has moved four of them,
    # the one that leaves every wax where it was is found; with one new wax the eight still stay.
    small = {"wax_g": 1.0, "width_mm": 14.0, "depth_mm": 5.0}
    waxes = [a_wax(f"w{n}", **small) for n in range(1, 10)]
    before = {"A": Previous("64x64", ("w1", "w2", "w3", "w4")), "B": Previous("64x64", ("w5", "w6", "w7", "w8"))}
    shelf = sizes(small=0, middle=3, tall=0)
    for day, alone in ((waxes[:8], ()), (waxes, ("w9",))):
        evaluator = FlaskEvaluator(a_day(day, flask_sizes=shelf, previous=before))
        bounds = CombinatorialBounds(evaluator.rules, usable_sizes(evaluator.rules, ()))
        mixed = [("w1", "w2", "w5", "w6"), ("w3", "w4", "w7", "w8"), *([alone] if alone else [])]
        plan = Candidate(tuple(Flask("64x64", frozenset(keys)) for keys in mixed), frozenset())
        found = minimise_moves(
            evaluator, bounds, plan, Budget.of(100, len(evaluator.rules.items), evaluator.spent, evaluator.weighed)
        )
        kept = {frozenset(flask.waxes) for flask in before.values()}
        assert {flask.keys for flask in found.flasks} == kept | ({frozenset(alone)} if alone else set())
