"""Fixed flasks and held waxes: sizes that suffice for all of them, or a refusal at its place."""

from dataclasses import replace

import pytest

from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.grouping.preassigned import is_settled, preassigned_flasks
from casting.calc.grouping.solution import Flask
from casting.calc.values.day_input import Previous
from casting.calc.values.day_plan import Place
from casting.calc.values.errors import Refused
from casting.calc.values.placed import PlacedFlask, PlacedWax
from tests.days.day_input import KILN, a_day, a_wax, sizes


def preassigned(waxes, **more):
    return preassigned_flasks(FlaskEvaluator(a_day(waxes, **more)))


def refusal(waxes, **more):
    with pytest.raises(Refused) as refused:
        preassigned(waxes, **more)
    return refused.value


def test_fixed_flasks_come_first_as_they_were():
    before = {"B": Previous("64x64", ("w2",)), "A": Previous("51x64", ("w9",))}
    found = preassigned([a_wax("w1"), a_wax("w2"), a_wax("w9")], previous=before, fixed=("B",), held={"w1": "C"})
    assert found == (
        Flask("64x64", frozenset({"w2"}), "B", fixed=True),
        Flask("51x64", frozenset({"w1"}), "C"),  # the size of least powder
    )


def test_waxes_held_under_one_label_share_a_size_that_takes_them_all():
    # 36 mm is too tall for the 64 x 64; the 51 x 64 may hold two waxes and takes it.
    waxes = [a_wax("w1"), a_wax("w2", height_mm=36.0)]
    assert preassigned(waxes, held={"w1": "A", "w2": "A"}) == (Flask("51x64", frozenset({"w1", "w2"}), "A"),)


def test_one_held_flask_takes_a_larger_size_to_leave_the_smaller_one_to_another():
    # w1 fits the 51 x 64 and the 64 x 64; w2, 36 mm tall, only the 51 x 64, of which there is one.
    waxes = [a_wax("w1"), a_wax("w2", height_mm=36.0)]
    found = preassigned(waxes, held={"w1": "A", "w2": "B"}, flask_sizes=sizes(small=1, middle=1, tall=0))
    assert [(flask.label, flask.size) for flask in found] == [("A", "64x64"), ("B", "51x64")]


def test_held_flasks_that_the_shelf_cannot_give_are_refused():
    waxes = [a_wax("w1"), a_wax("w2")]
    refused = refusal(waxes, held={"w1": "A", "w2": "B"}, flask_sizes=sizes(small=1, middle=0, tall=0))
    assert refused.place == "held.w1"


@pytest.mark.parametrize(
    ("more", "place", "named"),
    [
        ({"held": {"w7": "A"}}, "held.w7", "w7"),
        ({"held": {"tall": "A"}}, "held.tall", "tall"),
        ({"held": {"w1": "A", "ada": "A"}}, "held.ada", "A"),
        ({"fixed": ("A",)}, "fixed[0]", "A"),
        ({"fixed": ("A",), "previous": {"A": Previous("9x9", ("w1",))}}, "fixed[0]", "9x9"),
        ({"fixed": ("A",), "previous": {"A": Previous("51x64", ("w7",))}}, "fixed[0]", "w7"),
        (
            {"fixed": ("A",), "previous": {"A": Previous("51x64", ("w1", "ada"))}},
            "fixed[0]",
            "flask of 50.8 ×",
        ),
    ],
)
def test_what_cannot_be_kept_is_refused_at_its_place_and_named(more, place, named):
    refused = refusal([a_wax("w1"), a_wax("ada", owner="Ada"), a_wax("tall", height_mm=90.0)], **more)
    assert refused.place == place
    assert named in str(refused)


def test_a_wax_in_two_fixed_flasks_is_refused():
    before = {"A": Previous("51x64", ("w1",)), "B": Previous("51x64", ("w1",))}
    assert refusal([a_wax("w1")], previous=before, fixed=("A", "B")).place == "fixed[1]"


def test_a_choice_of_size_is_taken_back_if_another_held_flask_has_none_left():
    # A, 13 g, melts in a 51 x 64 and a 64 x 64, but not beside a button of 60 g (`test_proof`). B, 36 mm tall, fits a
    # 51 x 64 and a 76 x 102, of which the shelf has none. A first takes the cheaper 51 x 64, then leaves it to B.
    waxes = [a_wax("w1", wax_g=13.0), a_wax("w2", height_mm=36.0)]
    rules = {"button_g_by_diameter": ((51, 10), (64, 15), (77, 60), (102, 60))}
    day = a_day(waxes, rules, held={"w1": "A", "w2": "B"}, flask_sizes=sizes(small=1, middle=1, tall=0))
    found = preassigned_flasks(FlaskEvaluator(day))
    assert [(flask.label, flask.size) for flask in found] == [("A", "64x64"), ("B", "51x64")]


def by_hand(label, size, *waxes, whole=True):
    return PlacedFlask(label, size, tuple(PlacedWax(*wax) for wax in waxes), whole)


NORTH, SOUTH = Place(0.0, 7.0, 0.0), Place(0.0, -7.0, 0.0)
TWO = [a_wax("w1"), a_wax("w2")]


def test_a_whole_flask_made_by_hand_stays_as_it_is_and_keeps_its_spots():
    evaluator = FlaskEvaluator(a_day(TWO, placed=(by_hand("D", "64x64", ("w1", NORTH), ("w2", SOUTH)),)))
    assert preassigned_flasks(evaluator) == (Flask("64x64", frozenset({"w1", "w2"}), "D", fixed=True),)
    assert evaluator.layout(frozenset({"w1", "w2"}), "64x64") == {"w1": NORTH, "w2": SOUTH}


def test_an_open_flask_made_by_hand_may_take_more_in_its_own_size():
    evaluator = FlaskEvaluator(a_day(TWO, placed=(by_hand("D", "64x64", ("w1",), whole=False),)))
    assert preassigned_flasks(evaluator) == (Flask("64x64", frozenset({"w1"}), "D"),)
    assert evaluator.rules.alone["w1"] == ("64x64",) and len(evaluator.rules.alone["w2"]) > 1


def test_a_whole_flask_without_spots_is_laid_out():
    (flask,) = preassigned(TWO, placed=(by_hand("D", "64x64", ("w1",), ("w2",)),))
    assert flask.fixed


def test_a_wax_may_be_held_for_an_open_flask_and_not_for_a_whole_one():
    open_ = by_hand("D", "64x64", ("w1",), whole=False)
    assert preassigned(TWO, placed=(open_,), held={"w2": "D"})[0].keys == {"w1", "w2"}
    refused = refusal(TWO, placed=(by_hand("D", "64x64", ("w1",)),), held={"w2": "D"})
    assert (refused.place, "made by hand and whole" in refused.sentence) == ("held.w2", True)


@pytest.mark.parametrize(
    ("waxes", "flask", "words"),
    [
        ([a_wax("w1"), a_wax("w2", alloy="bronze")], by_hand("D", "64x64", ("w1",), ("w2",)), "w2 is silicon bronze"),
        ([a_wax("w1", height_mm=36)], by_hand("D", "64x64", ("w1",)), "w1 is 36 mm tall"),
        # 4 mm deep: middles 9 mm apart leave 5
        (TWO, by_hand("D", "64x64", ("w1", NORTH), ("w2", Place(0.0, -2.0, 0.0))), "are 5 mm apart; 6 mm are needed"),
        # hub 12, reach 7: 19 mm
        (TWO, by_hand("D", "64x64", ("w1", NORTH), ("w2", Place(0.0, -20.0, 0.0))), "is 20 mm from the axis"),
        ([a_wax("w1")], by_hand("D", "64x64", ("w1", NORTH), whole=False), "w1 is alone and its foot is 7 mm off"),
        ([a_wax("w1")], by_hand("D", "64x64", ("w1", NORTH)), "w1 is alone and its foot is 7 mm off"),
    ],
)
def test_a_flask_made_by_hand_that_breaks_a_rule_is_refused_with_its_figure(waxes, flask, words):
    refused = refusal(waxes, placed=(flask,))
    assert refused.place == "placed[0]"
    assert words in refused.sentence and refused.sentence.startswith("flask D: ")


def test_waxes_without_spots_that_no_search_can_lay_out_are_refused():
    wide = [a_wax(key, width_mm=26, depth_mm=20, wax_g=2.0) for key in ("w1", "w2", "w3")]
    refused = refusal(wide, placed=(by_hand("D", "64x64", ("w1",), ("w2",), ("w3",)),))
    assert (refused.place, "no layout was found for flask D" in refused.sentence) == ("placed[0]", True)


def test_a_flask_made_by_hand_that_no_kiln_takes_is_refused_at_its_place():
    low = [replace(KILN, height_mm=120.0)]
    refused = refusal(TWO, placed=(by_hand("D", "51x64", ("w1",)), by_hand("E", "76x102", ("w2",))), kilns=tuple(low))
    assert (refused.place, "no kiln place was found for flask E" in refused.sentence) == ("placed[1]", True)


def test_a_day_is_settled_once_every_wax_has_its_spot_or_goes_into_no_flask():
    whole = by_hand("D", "64x64", ("w1", NORTH), ("w2", SOUTH))
    third = a_wax("w3", height_mm=200)

    def settled(waxes, **more):
        return is_settled(FlaskRules(a_day(waxes, **more)))

    assert settled(TWO, placed=(whole,))
    assert settled([*TWO, third], placed=(whole,))  # no flask takes it
    assert not settled([*TWO, a_wax("w4")], placed=(whole,))
    assert settled([*TWO, a_wax("w4")], placed=(whole,), kept_out=frozenset({"w4"}))
    assert not settled(TWO, placed=(replace(whole, whole=False),))
    assert not settled(TWO)
    before = {"previous": {"B": Previous("51x64", ("w1",))}, "fixed": ("B",)}
    assert not settled([a_wax("w1")], **before)
    assert settled([a_wax("w1")], placed=(by_hand("B", "51x64", ("w1", Place(0.0, 0.0, 0.0))),), **before)
