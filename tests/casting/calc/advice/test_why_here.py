import pytest

from casting.calc.advice.why_here import why_here
from casting.calc.values.day_plan import Place
from casting.calc.values.enums import Section
from casting.calc.values.placed import Rule
from tests.casting.calc.advice.test_carrying import AXIS, NORTH, SOUTH, board, flask
from tests.days.day_input import a_wax


def test_a_wax_that_only_one_flask_takes_says_what_keeps_it_out_of_each_other():
    waxes = [a_wax("w1"), a_wax("w2"), a_wax("b1", alloy="bronze"), a_wax("t1", section=Section.VERY_THIN)]
    one = board(waxes, flask("A", w1=NORTH, w2=SOUTH), flask("B", b1=AXIS), flask("C", t1=AXIS))
    why = why_here(one, "w1")
    assert (why.label, why.is_only_one) == ("A", True)
    assert [(rule, [label for label, _breach in found]) for rule, found in why.kept_out] == [
        (Rule.METAL, ["B"]),
        (Rule.SECTIONS, ["C"]),
    ]
    assert why.kept_out[1][1][0][1].other == "t1"


def test_a_flask_that_takes_it_has_the_day_s_difference():
    one = board([a_wax("w1"), a_wax("w2"), a_wax("w3")], flask("A", w1=AXIS), flask("B", w2=AXIS), flask("C", w3=AXIS))
    why = why_here(one, "w1")
    assert [label for label, _more in why.elsewhere] == ["B", "C"] and not why.is_only_one
    # a 64 x 64 less, and its button of 15 g at 10 % of 1 a gram
    assert why.elsewhere[0][1].cost == pytest.approx(-one.rules.powder_g["64x64"] * 0.004 - 1.5)


def test_a_flask_where_no_spot_was_found_is_no_proof():
    rows = {"w2": Place(0.0, 13.0, 0.0), "w3": AXIS, "w4": Place(0.0, -13.0, 0.0)}
    waxes = [a_wax("w1", width_mm=24), *(a_wax(key, width_mm=40) for key in rows)]
    why = why_here(board(waxes, flask("B", "76x102", **rows)), "w1")
    assert (why.label, why.no_spot, why.is_only_one) == ("", ("B",), False)
