"""Why a wax changed flask: every reason, read off two small plans written by hand."""

import json

import pytest

from casting.calc.advice.plan_diff import PlannedDay, moves
from casting.calc.values.day_input import Previous
from casting.dayfile import read
from tests.days.day_file import a_day_file, wax_row


def planned(flasks, cost=10.0, rules=None, stock=None, held=None, put=(), **waxes):
    """A day of the waxes named in the flasks ("64x64 w1 w2" by label), and its plan; a wax may have other figures."""
    in_flasks = {label: Previous(size, tuple(keys)) for label, (size, *keys) in flasks.items()}
    keys = sorted({key for flask in in_flasks.values() for key in flask.waxes} | set(waxes))
    day = a_day_file([wax_row(key, **waxes.get(key, {})) for key in keys], rules, held=held or {})
    for size in day["flask_sizes"]:
        size["count"] = (stock or {}).get(size["key"], size["count"])
    day["flask_sizes"] = [size for size in day["flask_sizes"] if size["count"] >= 0]
    day["placed"] = [
        {"label": label, "size": flasks[label][0], "waxes": [{"key": key} for key in flasks[label][1:]]}
        for label in put
    ]
    return PlannedDay(read(json.dumps(day)).day, in_flasks, cost)


BEFORE = {"A": ("64x64", "w1", "w2"), "B": ("64x64", "w3")}


@pytest.mark.parametrize(
    ("before", "after", "why"),
    [
        (planned(BEFORE), planned({"A": ("64x64", "w1", "w2", "w3")}), "Flask B is gone: 1 flask instead of 2."),
        (
            planned({"A": ("64x64", "w1", "w3"), "B": ("64x64", "w2")}),
            planned({"A": ("64x64", "w1", "w4"), "B": ("64x64", "w2", "w3")}),
            "Moved to make room for w4, new in A.",
        ),
        (
            planned({"A": ("64x64", "w1", "w2"), "B": ("64x64", "w3")}),
            planned({"A": ("64x64", "w1", "w3"), "B": ("64x64",)}),
            "w2 was withdrawn from A.",
        ),
        (planned(BEFORE), planned({"A": ("64x64", "w1", "w3")}, held={"w3": "A"}), "You kept it in A."),
        (planned(BEFORE), planned({"A": ("64x64", "w1", "w3")}, put=["A"]), "You put it into A."),
        (
            planned({"A": ("64x64", "w1", "w2"), "B": ("64x64", "w3")}),
            planned({"A": ("64x64", "w1", "w3"), "B": ("64x64", "w2")}, put=["A"]),
            # the move of w2 alone; w1 stood in A already
            "Moved to make room for w3, which you put into A.",
        ),
        (
            planned({"A": ("64x64", "w1"), "B": ("64x64", "w2"), "C": ("64x64", "w3")}),
            planned({"A": ("64x64", "w1", "w2"), "D": ("64x64", "w3")}, put=["D"]),
            "Moved because you put w3 into D.",
        ),
        (
            planned({"A": ("64x64", "w1", "w2"), "B": ("64x64", "w3")}),
            planned({"A": ("64x64", "w1", "w3"), "B": ("64x64", "w2")}, held={"w3": "A"}),
            # the move of w2 alone; that of w3 is the case before
            "Moved to make room for w3, which you kept in A.",
        ),
        (
            planned({"A": ("64x64", "w1"), "B": ("64x64", "w2"), "C": ("64x64", "w3")}),
            planned({"A": ("64x64", "w1", "w2"), "C": ("64x64", "w3")}, held={"w3": "C"}),
            "Moved because you kept w3 in C.",
        ),
        (planned(BEFORE), planned({"A": ("64x64", "w1", "w3")}, w3={"height_mm": 30.0}), "Its height changed."),
        (
            planned(BEFORE),
            planned({"A": ("64x64", "w1", "w2", "w3")}, stock={"64x64": 1}),
            "The school has only 1 of size 63.5 × 63.5\u2060 mm now; the plan before used 2.",
        ),
        (
            planned(BEFORE),
            planned({"A": ("77x77", "w1", "w2", "w3")}, stock={"64x64": -1}),
            "Its flask B was of size 63.5 × 63.5\u2060 mm, which the school no longer has.",
        ),
        (
            planned({"A": ("64x64", "w1", "w2", "w3")}),
            planned({"A": ("64x64", "w1", "w2"), "B": ("64x64", "w3")}, rules={"crucible_ml": 15}),
            # 3 x 3.2 / 0.96 x 10.36 = 103.6 g, button 15 % = 15.54: 119.14, up to 119.5 g; 15 ml x 0.8 x 10.36 = 124.3
            "Moved when the whole day was planned again.",
        ),
        (
            planned({"A": ("64x64", "w1", "w2", "w3")}),
            planned({"A": ("64x64", "w1", "w2"), "B": ("64x64", "w3")}, rules={"crucible_ml": 14}),
            # 14 ml x 0.8 x 10.36 = 116.0 g
            "What was in A takes 119.5 g; one melt takes 116.0 g now.",
        ),
        (
            planned({"A": ("64x64", "w1", "w2"), "B": ("64x64", "w3")}, cost=12.0),
            planned({"A": ("51x64", "w1"), "B": ("64x64", "w2", "w3")}, cost=11.4),
            "Powder, buttons and mixed thicknesses come to 11.40 instead of 12.00, with as many flasks.",
        ),
        (
            planned({"A": ("64x64", "w1", "w2"), "B": ("64x64", "w3")}),
            planned({"A": ("64x64", "w1", "w2"), "C": ("64x64", "w3")}),
            "Flask B is gone from the plan.",
        ),
        (
            planned({"A": ("64x64", "w1", "w2"), "B": ("64x64", "w3")}),
            planned(
                {"A": ("64x64", "w1"), "B": ("64x64", "w2", "w3")},
                w1={"section": "heavy"},
                rules={"sections_may_differ_by": 0},
            ),
            "w1 changed, and what was in A can no longer share it.",
        ),
    ],
)
def test_the_first_reason_that_is_true_is_given(before, after, why):
    assert moves(before, after)[0].why == why


def test_new_withdrawn_and_left_out_waxes_have_not_moved():
    before = planned({"A": ("64x64", "w1", "w2")}, w5={})
    after = planned({"A": ("64x64", "w1"), "B": ("64x64", "w3", "w5")}, w2={})
    assert moves(before, after) == ()


def test_a_move_tells_from_where_to_where():
    (move,) = moves(planned(BEFORE), planned({"A": ("64x64", "w1", "w2", "w3")}))
    assert (move.key, move.old, move.new) == ("w3", "B", "A")
