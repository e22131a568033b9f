"""Fixed flasks and held waxes: sizes that suffice for all of them, or a refusal at its place."""

import pytest

from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.preassigned import preassigned_flasks
from casting.calc.grouping.solution import Flask
from casting.calc.values.day_input import Previous
from casting.calc.values.errors import Refused
from tests.days.day_input import a_day, a_wax, sizes


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
