"""What the evaluator searches for, remembers and takes for granted in each mode."""

from dataclasses import replace

import pytest

from casting.calc.grouping.budget import SEEK_SURE
from casting.calc.grouping.evaluator import FlaskEvaluator, SearchMode
from casting.calc.grouping.solution import Flask
from casting.calc.values.day_plan import Place
from casting.calc.values.enums import Section
from casting.calc.values.placed import PlacedFlask, PlacedWax
from tests.days.day_input import KILN, SMALL, a_day, a_wax, sizes

TRUSTING = SearchMode(trusted=2.0)


def bands(count):
    """Bands of 22 x 6 mm: a 51 mm flask has room for three, and the search finds no layout of four."""
    return [a_wax(f"w{number:02}", wax_g=1.0, width_mm=22, depth_mm=6, height_mm=25) for number in range(count)]


def evaluator_of(waxes, **more):
    return FlaskEvaluator(a_day(waxes, **({"flask_sizes": (replace(SMALL, waxes_max=5),)} | more)))


def keys(*names):
    return frozenset(names)


THREE, FOUR = keys("w00", "w01", "w02"), keys("w00", "w01", "w02", "w03")


def test_spare_is_what_the_flasks_leave_of_the_stock():
    evaluator = FlaskEvaluator(a_day([a_wax("w1")]), without=keys("76x102"))
    flasks = [Flask("51x64", keys("w1"))] * 2 + [Flask("76x102", keys("w1"))]
    assert evaluator.spare(flasks) == {"51x64": 3, "64x64": 5, "76x102": 0}


def test_waxes_fit_if_rules_allow_them_and_a_layout_is_found():
    evaluator = evaluator_of(bands(4))
    assert evaluator.fits(THREE, "51x64") and evaluator.has_layout(THREE, "51x64")
    assert not evaluator.fits(FOUR, "51x64")
    mixed = evaluator_of([*bands(1), a_wax("heavy", section=Section.HEAVY), a_wax("thin", section=Section.THIN)])
    assert not mixed.fits(keys("heavy", "thin"), "51x64")


def test_a_layout_is_trusted_until_it_was_searched_for_in_vain():
    evaluator = evaluator_of(bands(4))
    trusting = evaluator.in_mode(TRUSTING)
    assert trusting.fits(FOUR, "51x64") and not trusting.has_layout(FOUR, "51x64")
    assert evaluator.layout(FOUR, "51x64", SEEK_SURE) is None
    assert not trusting.fits(FOUR, "51x64")


def test_a_mode_is_of_one_view_only():
    evaluator = evaluator_of(bands(3))
    view = evaluator.in_mode(TRUSTING)
    assert (evaluator.mode, view.mode) == (SearchMode(), TRUSTING)


def test_views_share_what_is_known_and_count_their_own_work():
    evaluator = evaluator_of(bands(3))
    assert evaluator.in_mode(SearchMode(quick=True)).layout(THREE, "51x64") is not None
    assert evaluator.has_layout(THREE, "51x64")
    assert evaluator.spent == 0


def test_a_first_try_searches_for_no_layout_of_a_base_that_is_too_full():
    # By `occupancy` three bands take up 0.61 of the base.
    evaluator = evaluator_of(bands(3))
    assert evaluator.occupancy(THREE, "51x64") == pytest.approx(0.61, abs=0.01)
    roomy = evaluator.in_mode(SearchMode(full=0.5))
    assert roomy.layout(THREE, "51x64") is None
    assert roomy.layout(THREE, "51x64", SEEK_SURE) is not None
    assert roomy.layout(THREE, "51x64") is not None  # now it is known


def test_fewer_waxes_have_the_layout_of_more():
    evaluator = evaluator_of(bands(3))
    three = evaluator.layout(THREE, "51x64")
    spent = evaluator.spent
    two = evaluator.layout(keys("w00", "w02"), "51x64")
    assert two == {key: three[key] for key in ("w00", "w02")}
    assert evaluator.spent == spent


def test_kiln_places_are_trusted_while_the_load_is_roomy():
    # 400 mm less 2 x 25, plus one gap of 12: 362 mm square, 131,044 mm2, of which 0.65 is 85,179. A flask of 55 mm
    # with its gap takes pi / 4 x 67 x 67 = 3,525.7 mm2: 24 are 84,616 and are trusted, 25 are 88,142 and are not.
    evaluator = evaluator_of([a_wax("w1")]).in_mode(SearchMode(kilns_trusted=True))
    load = [Flask("51x64", keys("w1"))] * 24
    assert evaluator.kiln_takes(load)
    assert evaluator._shelves == {}
    assert evaluator.kiln_takes([*load, load[0]]) and len(evaluator._shelves) == 1


def test_a_kiln_that_is_too_low_is_not_trusted():
    # A 51 x 64 stands 63.5 mm high with 25 mm under and 25 over: 113.5 mm.
    low = evaluator_of([a_wax("w1")], kilns=(replace(KILN, height_mm=113),)).in_mode(SearchMode(kilns_trusted=True))
    assert not low.kiln_takes([Flask("51x64", keys("w1"))])


def test_flasks_are_feasible_if_stock_and_kilns_suffice():
    evaluator = FlaskEvaluator(a_day([a_wax("w1"), a_wax("w2")], flask_sizes=sizes(small=1, middle=1, tall=0)))
    one, other = Flask("51x64", keys("w1")), Flask("51x64", keys("w2"))
    assert evaluator.is_feasible((one,))
    assert not evaluator.is_feasible((one, other))
    assert evaluator.is_feasible((one, replace(other, size="64x64")))
    assert evaluator.is_feasible((replace(one, fixed=True), replace(other, size="64x64")))
    # 120 mm less 2 x 25 leave 70: room for one flask of 55 mm
    crowded = FlaskEvaluator(a_day([a_wax("w1"), a_wax("w2")], kilns=(replace(KILN, width_mm=120, depth_mm=120),)))
    assert crowded.is_feasible((one,)) and not crowded.is_feasible((one, other))


def test_kiln_places_come_in_the_order_of_the_flasks():
    evaluator = FlaskEvaluator(a_day([a_wax("w1"), a_wax("w2")]))
    flasks = [Flask("76x102", keys("w1")), Flask("51x64", keys("w2"))]
    places = evaluator.kiln_places(flasks)
    assert evaluator.kiln_places(flasks[::-1]) == places[::-1]
    assert places[0] != places[1]


def test_the_cost_of_flasks_is_the_sum_of_theirs():
    # Each 182 g of powder, 0.728, and a button of 10 g, 1.00 (`test_cost`).
    evaluator = FlaskEvaluator(a_day([a_wax("w1"), a_wax("w2")]))
    flasks = [Flask("51x64", keys("w1")), Flask("51x64", keys("w2"))]
    assert evaluator.cost_of(flasks) == pytest.approx(3.456)
    assert evaluator.total_cost(flasks) == 3.46


def test_around_spots_given_by_hand_others_are_laid_out_and_nothing_is_taken_for_granted():
    spot = Place(0.0, 7.0, 0.0)
    made = PlacedFlask("D", "64x64", (PlacedWax("w1", spot),), whole=False)
    evaluator = FlaskEvaluator(a_day([a_wax("w1"), a_wax("w2"), a_wax("w3")], placed=(made,)))
    both, free = frozenset({"w1", "w2"}), frozenset({"w2", "w3"})
    assert evaluator.has_spots(both) and not evaluator.has_spots(free)
    assert not evaluator.has_layout(both, "64x64")
    assert evaluator.layout(both, "64x64")["w1"] == spot
    assert evaluator.has_layout(both, "64x64")
    assert not evaluator.fits(both, "51x64")  # the flask keeps its size


def test_a_layout_made_by_hand_is_taken_as_it_is():
    evaluator = FlaskEvaluator(a_day([a_wax("w1"), a_wax("w2")]))
    places = {"w1": Place(1.0, 8.0, 12.0), "w2": Place(0.0, -7.0, 0.0)}
    evaluator.give(places, "64x64")
    assert evaluator.layout(frozenset(places), "64x64") == places
    assert evaluator.has_layout(frozenset(places), "64x64")
