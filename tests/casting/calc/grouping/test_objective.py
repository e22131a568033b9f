"""The score of a plan: goals in lexicographic order, worked by hand."""

from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.objective import count_first_pieces, score, sort_flasks
from casting.calc.grouping.solution import Candidate, Flask
from casting.calc.values.day_input import Previous
from casting.calc.values.enums import Aim
from tests.days.day_input import a_day, a_wax

ONE = Flask("64x64", frozenset({"w1", "w2", "w3"}))
TWO = (Flask("51x64", frozenset({"w3"})), Flask("51x64", frozenset({"w1", "w2"})))


def evaluator_of(aim=Aim.FEWEST_POURS, **more):
    waxes = [a_wax("w1", wax_g=1.0), a_wax("w2", wax_g=1.0), a_wax("w3", wax_g=1.0, piece=2)]
    return FlaskEvaluator(a_day(waxes, {"aim": aim}, **more))


def plan(*flasks, left=()):
    return Candidate(tuple(flasks), frozenset(left))


def test_flasks_are_sorted_by_their_first_wax():
    assert sort_flasks(TWO) == TWO[::-1]


def test_first_pieces_left_out_are_counted():
    assert count_first_pieces(evaluator_of(), plan(left=("w1", "w3"))) == 1  # w3 is a second piece


def test_a_score_has_the_goals_in_the_order_of_the_aim():
    # One 64 x 64: 283 g of powder, 1.132, and 15 g of button, 1.50: 2.63. Two 51 x 64: 2 x (0.728 + 1.00) = 3.46.
    assert score(evaluator_of(), plan(ONE))[:5] == (0, 0, 1, 2.63, 0)
    assert score(evaluator_of(), plan(*TWO))[:5] == (0, 0, 2, 3.46, 0)
    assert score(evaluator_of(Aim.LEAST_MATERIAL), plan(*TWO))[:5] == (0, 0, 3.46, 2, 0)


def test_a_first_piece_left_out_weighs_more_than_waxes_and_flasks():
    evaluator = evaluator_of()
    second_piece_out = plan(Flask("51x64", frozenset({"w1", "w2"})), left=("w3",))
    first_piece_out = plan(Flask("51x64", frozenset({"w2", "w3"})), left=("w1",))
    assert score(evaluator, plan(*TWO)) < score(evaluator, second_piece_out) < score(evaluator, first_piece_out)


def test_at_the_same_cost_fewer_moves_are_better():
    evaluator = evaluator_of(previous={"A": Previous("51x64", ("w1", "w2")), "B": Previous("51x64", ("w3",))})
    moved = plan(Flask("51x64", frozenset({"w1"})), Flask("51x64", frozenset({"w2", "w3"})))
    assert score(evaluator, plan(*TWO))[4] == 0
    assert score(evaluator, moved)[4] == 1
    assert score(evaluator, plan(*TWO)) < score(evaluator, moved)


def test_the_order_of_the_flasks_does_not_matter():
    assert score(evaluator_of(), plan(*TWO)) == score(evaluator_of(), plan(*TWO[::-1]))
