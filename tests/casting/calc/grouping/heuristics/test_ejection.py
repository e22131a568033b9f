"""Waxes that were left out come in by relocation and ejection, first pieces before others."""

from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.heuristics.ejection import reinsert
from casting.calc.grouping.solution import Flask
from tests.days.day_input import a_day, a_wax, sizes


def flask(size, *keys, **more):
    return Flask(size, frozenset(keys), **more)


def reinserted(waxes, flasks, left, held=None, **counts):
    evaluator = FlaskEvaluator(a_day(waxes, flask_sizes=sizes(**counts), held=held or {}))
    found, out = reinsert(evaluator, flasks, left)
    return set(found), out


def test_a_wax_comes_in_where_there_is_room():
    waxes = [a_wax("w1"), a_wax("w2")]
    assert reinserted(waxes, (flask("51x64", "w1"),), ["w2"]) == ({flask("51x64", "w1", "w2")}, [])


def test_a_flask_is_freed_by_moving_its_waxes_to_another_size():
    # Only the 76 x 102, of which there is one, takes w2 (60 mm tall); it holds w1, which the 51 x 64 takes too. Their
    # metals differ, so they share no flask.
    waxes = [a_wax("w1"), a_wax("w2", alloy="bronze", height_mm=60.0)]
    found = reinserted(waxes, (flask("76x102", "w1"),), ["w2"], small=1, middle=0, tall=1)
    assert found == ({flask("51x64", "w1"), flask("76x102", "w2")}, [])


def test_a_first_piece_ejects_a_second_piece():
    # One flask for two waxes: the first piece takes the place of the second piece that comes first by its key.
    waxes = [a_wax("w1", piece=2), a_wax("w2", piece=2), a_wax("w3")]
    found = reinserted(waxes, (flask("51x64", "w1", "w2"),), ["w3"], small=1, middle=0, tall=0)
    assert found == ({flask("51x64", "w2", "w3")}, ["w1"])


def test_a_first_piece_in_another_metal_ejects_a_whole_flask_of_second_pieces():
    waxes = [a_wax("w1", piece=2), a_wax("w2", piece=2), a_wax("w3", alloy="bronze")]
    found, out = reinserted(waxes, (flask("51x64", "w1", "w2"),), ["w3"], small=1, middle=0, tall=0)
    assert (found, sorted(out)) == ({flask("51x64", "w3")}, ["w1", "w2"])


def test_a_second_piece_ejects_nothing():
    waxes = [a_wax("w1"), a_wax("w2"), a_wax("w3", piece=2)]
    start = (flask("51x64", "w1", "w2"),)
    assert reinserted(waxes, start, ["w3"], small=1, middle=0, tall=0) == (set(start), ["w3"])


def test_neither_first_pieces_nor_held_waxes_nor_fixed_flasks_are_ejected():
    first = [a_wax("w1"), a_wax("w2"), a_wax("w3")]
    start = (flask("51x64", "w1", "w2"),)
    assert reinserted(first, start, ["w3"], small=1, middle=0, tall=0) == (set(start), ["w3"])
    later = [a_wax("w1", piece=2), a_wax("w2", piece=2), a_wax("w3")]
    held = (flask("51x64", "w1", "w2", label="A"),)
    both = {"w1": "A", "w2": "A"}
    assert reinserted(later, held, ["w3"], held=both, small=1, middle=0, tall=0) == (set(held), ["w3"])
    fixed = (flask("51x64", "w1", "w2", label="A", fixed=True),)
    assert reinserted(later, fixed, ["w3"], small=1, middle=0, tall=0) == (set(fixed), ["w3"])


def test_a_flask_too_low_for_the_wax_is_not_freed_for_it():
    # No 76 x 102 is on the shelf, the one size that takes 60 mm.
    waxes = [a_wax("w1"), a_wax("w2", alloy="bronze", height_mm=60.0)]
    start = (flask("51x64", "w1"),)
    assert reinserted(waxes, start, ["w2"], small=2, middle=1, tall=0) == (set(start), ["w2"])
