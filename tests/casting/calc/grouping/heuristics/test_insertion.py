"""Insertion, cheaper sizes and closed flasks, on days where the best move is known."""

from dataclasses import replace

from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.heuristics.insertion import (
    by_powder,
    close_flasks,
    downsize,
    insert_wax,
    open_to,
    replace_flask,
    with_keys,
)
from casting.calc.grouping.solution import Flask
from casting.calc.values.enums import Section
from tests.days.day_input import KILN, a_day, a_wax, sizes


def evaluator_of(*waxes, **counts):
    """A day of these waxes with these counts of sizes; a 51 x 64 may hold two, a 64 x 64 four, a 76 x 102 six."""
    return FlaskEvaluator(a_day(waxes, flask_sizes=sizes(**counts)))


def flask(size, *keys, **more):
    return Flask(size, frozenset(keys), **more)


FOUR = [a_wax(f"w{nth}", wax_g=1.0) for nth in range(1, 5)]


def test_a_flask_is_replaced_where_the_others_stay():
    one, other = flask("51x64", "w1"), flask("51x64", "w2")
    assert replace_flask((one, other), one, flask("64x64", "w1")) == (other, flask("64x64", "w1"))
    assert replace_flask((one, other), one) == (other,)


def test_a_flask_with_other_waxes_keeps_its_label():
    held = flask("51x64", "w1", label="A")
    assert with_keys(held, frozenset({"w1", "w2"}), "64x64") == flask("64x64", "w1", "w2", label="A")
    assert with_keys(held, frozenset({"w2"})) == flask("51x64", "w2", label="A")


def test_sizes_are_sorted_by_powder():
    # 182, 283 and 652 g
    assert by_powder(evaluator_of(), ["76x102", "51x64", "64x64"]) == ["51x64", "64x64", "76x102"]


def test_a_wax_may_join_free_flasks_of_its_family_the_fullest_first():
    waxes = [*FOUR, a_wax("w5"), a_wax("thin", section=Section.VERY_THIN), a_wax("ada", owner="Ada")]
    evaluator = evaluator_of(*waxes)
    empty, full = flask("64x64", "w1"), flask("64x64", "w2", "w3")
    fixed, other = flask("64x64", "w4", fixed=True), flask("64x64", "ada")
    assert open_to(evaluator, (empty, full, fixed, other), "w5") == [full, empty]
    assert open_to(evaluator, (empty, full), "thin") == []  # very thin is two steps from medium


def test_a_wax_joins_a_flask_before_a_new_one_is_opened():
    evaluator = evaluator_of(*FOUR)
    assert insert_wax(evaluator, (flask("51x64", "w1"),), "w2", largest_first=True) == (flask("51x64", "w1", "w2"),)


def test_a_new_flask_is_the_largest_or_the_one_of_least_powder():
    evaluator = evaluator_of(*FOUR)
    assert insert_wax(evaluator, (), "w1", largest_first=True) == (flask("76x102", "w1"),)
    assert insert_wax(evaluator, (), "w1", largest_first=False) == (flask("51x64", "w1"),)


def test_a_wax_is_not_inserted_where_no_flask_and_no_size_takes_it():
    # w3 is 36 mm tall, too tall for the 64 x 64 (34.625 mm). The 51 x 64 is full; a 76 x 102 would take it.
    waxes = [*FOUR[:2], a_wax("w3", wax_g=1.0, height_mm=36.0)]
    start = (flask("51x64", "w1", "w2"),)
    with_a_tall_one = evaluator_of(*waxes, small=1, middle=0, tall=1)
    assert insert_wax(with_a_tall_one, start, "w3", largest_first=False) == (*start, flask("76x102", "w3"))
    assert insert_wax(evaluator_of(*waxes, small=1, tall=0), start, "w3", largest_first=False) is None


def test_a_full_flask_takes_a_larger_size_if_the_kilns_have_no_room_for_a_second_one():
    # 120 mm less 2 x 25 leave 70 mm: one flask.
    crowded = FlaskEvaluator(
        a_day(
            FOUR[:3],
            flask_sizes=sizes(small=1, middle=1, tall=0),
            kilns=(replace(KILN, width_mm=120, depth_mm=120),),
        )
    )
    start = (flask("51x64", "w1", "w2"),)
    assert insert_wax(crowded, start, "w3", largest_first=True) == (flask("64x64", "w1", "w2", "w3"),)


def test_a_flask_takes_the_cheapest_size_that_is_left():
    # 51 x 64: 0.728 of powder and 1.00 of button; 76 x 102: 2.608 and 2.00.
    evaluator = evaluator_of(*FOUR)
    assert downsize(evaluator, (flask("76x102", "w1", "w2"),)) == (flask("51x64", "w1", "w2"),)
    fixed = (flask("76x102", "w1", "w2", fixed=True),)
    assert downsize(evaluator, fixed) == fixed
    assert downsize(evaluator_of(*FOUR, small=0, middle=0), (flask("76x102", "w1"),)) == (flask("76x102", "w1"),)


def test_a_flask_is_closed_if_the_others_take_its_waxes():
    evaluator = evaluator_of(*FOUR)
    assert close_flasks(evaluator, (flask("64x64", "w1", "w2", "w3"), flask("51x64", "w4"))) == (
        flask("64x64", "w1", "w2", "w3", "w4"),
    )


def test_a_held_flask_is_not_closed():
    evaluator = evaluator_of(*FOUR)
    held = (flask("64x64", "w1", "w2", label="A"), flask("51x64", "w3", label="B"))
    assert close_flasks(evaluator, held) == held
