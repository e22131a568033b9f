"""Relocations and swaps that lower the cost, on days where the best ones are known."""

from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.heuristics.local_search import improve
from casting.calc.grouping.solution import Flask
from casting.calc.values.enums import Section
from tests.days.day_input import a_day, a_wax, sizes

SMALL_ONES = sizes(small=2, middle=0, tall=0)


def flask(*keys, size="51x64", **more):
    return Flask(size, frozenset(keys), **more)


def improved(waxes, *flasks, held=None, shelf=SMALL_ONES):
    evaluator = FlaskEvaluator(a_day(waxes, flask_sizes=shelf, held=held or {}))
    return set(improve(evaluator, flasks))


MIXED = [
    a_wax("m1", wax_g=1.0),
    a_wax("m2", wax_g=1.0),
    a_wax("t1", wax_g=1.0, section=Section.THIN),
    a_wax("t2", wax_g=1.0, section=Section.THIN),
]


def test_a_swap_saves_the_surcharge_of_two_mixed_flasks():
    # Each flask mixes two sections for 5: after one swap neither does. Both are full, so nothing can be relocated.
    assert improved(MIXED, flask("m1", "t1"), flask("m2", "t2")) == {flask("m1", "m2"), flask("t1", "t2")}


def test_a_relocation_saves_powder_and_button():
    # Three in a 64 x 64 and one in a 51 x 64: 2.632 + 1.728. After one relocation two 51 x 64 do: 3.456.
    alike = [a_wax(f"w{nth}", wax_g=1.0) for nth in range(4)]
    start = flask("w0", "w1", "w2", size="64x64"), flask("w3")
    found = improved(alike, *start, shelf=sizes(small=2, middle=1, tall=0))
    assert sorted((one.size, len(one.keys)) for one in found) == [("51x64", 2), ("51x64", 2)]


def test_held_waxes_stay_where_they_are():
    held = dict.fromkeys(("m1", "t1"), "A") | dict.fromkeys(("m2", "t2"), "B")
    start = flask("m1", "t1", label="A"), flask("m2", "t2", label="B")
    assert improved(MIXED, *start, held=held) == set(start)


def test_fixed_flasks_and_other_families_stay_as_they_are():
    fixed = flask("m1", "t1", label="A", fixed=True), flask("m2", "t2")
    assert improved(MIXED, *fixed) == set(fixed)
    owners = [*MIXED[:2], *(a_wax(key, wax_g=1.0, section=Section.THIN, owner="Ada") for key in ("t1", "t2"))]
    apart = flask("m1"), flask("t1")
    assert improved(owners, *apart) == set(apart)


def test_a_plan_that_no_move_improves_stays_as_it_is():
    start = flask("m1", "m2"), flask("t1", "t2")
    assert improved(MIXED, *start) == set(start)


def test_a_held_wax_is_not_relocated():
    alike = [a_wax(f"w{nth}", wax_g=1.0) for nth in range(4)]
    start = flask("w0", "w1", "w2", size="64x64", label="A"), flask("w3")
    held = {"w0": "A", "w1": "A", "w2": "A"}
    assert improved(alike, *start, held=held, shelf=sizes(small=2, middle=1, tall=0)) == set(start)
