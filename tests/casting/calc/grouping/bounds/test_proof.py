"""Bounds on days worked by hand; small random days are in `test_small_days`."""

from dataclasses import replace

from casting.calc.grouping.bounds.proof import prove, usable_sizes
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.grouping.group import group
from casting.calc.grouping.objective import LowerBounds
from casting.calc.grouping.solution import Flask
from casting.calc.values.day_plan import LeftOut
from casting.calc.values.enums import Reason
from tests.days.day_input import KILN, a_day, a_wax, sizes

ONLY_MIDDLE = sizes(small=0, tall=0)


def flask(*keys, size="64x64"):
    return Flask(size, frozenset(keys))


def test_a_bigger_flask_can_be_worse():
    # 13 g of wax is 13 / 0.96 x 10.36 = 140.29 g of sterling; one melt takes 24 x 0.8 x 10.36 = 198.9 g.
    # 64 mm: a button of 0.15 x 140.29 = 21.04 g, charge 161.5 g. 76 mm, here 60 g of button: 200.5 g, too much.
    rules = {"button_g_by_diameter": ((51, 10), (64, 15), (77, 60), (102, 60))}
    plan = group(a_day([a_wax("w1", wax_g=13.0)], rules, flask_sizes=sizes(small=0, middle=1, tall=1)), 20)
    assert [one.size for one in plan.groups] == ["64x64"]
    assert plan.proof.proved


def test_what_a_plan_meets_is_proved_without_column_generation():
    # Five waxes, four to a 64 x 64: two flasks; each 283 g of powder, 1.132, and 15 g of button, 1.50: 5.264.
    evaluator = FlaskEvaluator(a_day([a_wax(f"w{nth}", wax_g=1.0) for nth in range(5)], flask_sizes=ONLY_MIDDLE))
    plan = (flask("w0", "w1", "w2", "w3"), flask("w4"))
    proof = prove(evaluator, plan, ())
    assert (proof.flasks_at_least, proof.cost_at_least) == (2, 5.26)
    assert (proof.flasks_proved, proof.proved) == (True, True)


def test_a_plan_of_a_flask_too_many_is_not_proved():
    evaluator = FlaskEvaluator(a_day([a_wax("w0"), a_wax("w1")], flask_sizes=ONLY_MIDDLE))
    proof = prove(evaluator, (flask("w0"), flask("w1")), ())
    assert (proof.flasks_at_least, proof.flasks_proved, proof.proved) == (1, False, False)


def test_fixed_flasks_count_in_the_bounds():
    evaluator = FlaskEvaluator(a_day([a_wax("w0"), a_wax("w1", alloy="bronze")], flask_sizes=ONLY_MIDDLE))
    proof = prove(evaluator, (replace(flask("w0"), label="A", fixed=True), flask("w1")), ())
    # Sterling 1.132 + 1.50; bronze 1.132 and 15 / 10.36 x 8.36 = 12.10 g at 0.03 and 10 %, 0.036: 3.80.
    assert (proof.flasks_at_least, proof.cost_at_least, proof.proved) == (2, 3.8, True)


def test_if_fewer_waxes_might_be_left_out_only_fixed_and_held_flasks_bound_the_plan():
    waxes = [a_wax("w0"), a_wax("w1"), a_wax("w2", alloy="bronze")]
    evaluator = FlaskEvaluator(a_day(waxes, flask_sizes=ONLY_MIDDLE, held={"w0": "A"}))
    out = LeftOut("w2", Reason.NO_FLASK_LEFT, "", None)
    proof = prove(evaluator, (flask("w0", "w1"),), (out,))
    assert (proof.left_out_at_least, proof.flasks_at_least, proof.cost_at_least) == (0, 1, 0.0)
    assert not proof.flasks_proved


def test_bounds_of_column_generation_are_those_of_the_loose_waxes():
    # A fixed flask, one loose wax in another, and one that no flask takes: 1 + 1 flasks, 0 + 1 left out, 2.63 x 2.
    waxes = [a_wax("w0"), a_wax("w1"), a_wax("w2", height_mm=90.0)]
    evaluator = FlaskEvaluator(a_day(waxes, flask_sizes=ONLY_MIDDLE))
    plan = (replace(flask("w0"), label="A", fixed=True), flask("w1"))
    proved = LowerBounds(firsts=0, left=0, flasks=1, cost=2.632)
    proof = prove(evaluator, plan, (LeftOut("w2", Reason.TOO_TALL, "", None),), proved)
    assert (proof.left_out_at_least, proof.first_left_out_at_least) == (1, 1)
    assert (proof.flasks_at_least, proof.cost_at_least, proof.proved) == (2, 5.26, True)


def test_sizes_are_usable_if_stock_kilns_and_firings_leave_one():
    rules = FlaskRules(a_day([a_wax("w0")], flask_sizes=sizes(small=1, middle=0, tall=1)))
    assert usable_sizes(rules, ()) == {"51x64", "76x102"}
    assert usable_sizes(rules, (flask("w0", size="51x64"),)) == {"76x102"}
    # 76 x 102 with 25 mm under and 25 over needs 151.6 mm
    low = FlaskRules(a_day([a_wax("w0")], kilns=(replace(KILN, height_mm=151),)))
    assert usable_sizes(low, ()) == {"51x64", "64x64"}
