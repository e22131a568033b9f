"""Flasks made by hand as they are read: what is refused, where, and the fair case beside it."""

import json

import pytest

from casting.calc.values.day_plan import Place, TreePlace
from casting.calc.values.errors import Refused
from casting.calc.values.placed import PlacedFlask, PlacedWax
from casting.dayfile import read
from tests.days.day_file import a_day_file, wax_row

TREE = {"key": "tree", "diameter_mm": 101.6, "height_mm": 152.4, "count": 1, "mount": "tree"}
SPOT = {"x_mm": 1.0, "y_mm": 2.5, "turn_deg": 30}


def day_with(**changes):
    day = a_day_file([wax_row("w1"), wax_row("w2"), wax_row("C3")])
    return day | {"flask_sizes": [*day["flask_sizes"], TREE]} | changes


def flask(label="D", size="64x64", waxes=({"key": "w1"},), **more):
    return {"label": label, "size": size, "waxes": list(waxes), **more}


def refusal(**changes):
    with pytest.raises(Refused) as refused:
        read(json.dumps(day_with(**changes)))
    return refused.value.place, refused.value.sentence


def test_a_flask_is_read_as_it_was_made():
    day = read(json.dumps(day_with(placed=[flask(waxes=[{"key": "w1", **SPOT}, {"key": "w2"}], whole=False)]))).day
    placed = PlacedFlask("D", "64x64", (PlacedWax("w1", Place(1.0, 2.5, 30.0)), PlacedWax("w2")), whole=False)
    assert day.placed == (placed,)


def test_a_spot_is_read_as_it_is_printed():
    spot = {"x_mm": 1.23449, "y_mm": -0.0001, "turn_deg": -90}
    (one,) = read(json.dumps(day_with(placed=[flask(waxes=[{"key": "w1", **spot}])]))).day.placed
    assert one.spots == {"w1": Place(1.234, 0.0, 270.0)}
    assert str(one.spots["w1"].y_mm) == "0.0"


def test_a_tree_s_spots_have_their_heights_and_tiers():
    waxes = [
        {"key": key, "x_mm": x, "y_mm": 0, "turn_deg": 90, "z_mm": 16, "tier": 1}
        for key, x in (("w1", 20), ("w2", -20))
    ]
    (one,) = read(json.dumps(day_with(placed=[flask(size="tree", waxes=waxes)]))).day.placed
    assert one.spots["w2"] == TreePlace(-20.0, 0.0, 90.0, 16.0, 1)


HALF = {"key": "w1", "x_mm": 1, "y_mm": 2}
ON_TREE = {"key": "w1", **SPOT, "z_mm": 16, "tier": 1}


@pytest.mark.parametrize(
    ("placed", "place", "words"),
    [
        ([flask(waxes=[{"key": "w9"}])], "placed[0].waxes[0].key", '"w9" stands here, but no wax of the day'),
        ([flask(waxes=[{"key": "w1"}, {"key": "w1"}])], "placed[0].waxes[1].key", "already in flask D"),
        ([flask(), flask("E")], "placed[1].waxes[0].key", "already in flask D"),
        ([flask(), flask(waxes=[{"key": "w2"}])], "placed[1].label", "another flask has this label"),
        ([flask(label="C3", waxes=[{"key": "C3"}])], "placed[0].label", "a wax has this tag"),
        ([flask(label="d4!")], "placed[0].label", "a label is 1 to 3 of A-Z and 0-9"),
        ([flask(size="12x12")], "placed[0].size", "not known here"),
        ([flask(waxes=[])], "placed[0].waxes", "no wax stands in this flask"),
        ([flask(whole="yes")], "placed[0].whole", "true or false"),
        ([flask(waxes=[HALF])], "placed[0].waxes[0]", "give all or none"),
        ([flask(waxes=[{"key": "w1", **SPOT, "tier": 1}])], "placed[0].waxes[0]", "give all or none"),
        ([flask(waxes=[ON_TREE])], "placed[0].waxes[0]", "z_mm and tier are of trees only"),
        ([flask(size="tree", waxes=[{"key": "w1", **SPOT}])], "placed[0].waxes[0]", "give both"),
        ([flask(size="tree", waxes=[ON_TREE, {"key": "w2"}])], "placed[0]", "a tree has the spots of all its waxes"),
        ([flask(size="tree", waxes=[ON_TREE], whole=False)], "placed[0]", "a tree has the spots of all its waxes"),
        ([flask(waxes=[{"key": "w1", **SPOT, "x_mm": "3"}])], "placed[0].waxes[0].x_mm", '"3" stands here'),
        ([flask(waxes=[{"key": "w1", **SPOT, "x_mm": 1e9}])], "placed[0].waxes[0].x_mm", "at most 200"),
        ([flask(waxes=[{"key": "w1", **SPOT, "turn_deg": True}])], "placed[0].waxes[0].turn_deg", "a number"),
        ([flask(waxes=[{"key": "w1", **SPOT, "charge": 3}])], "placed[0].waxes[0].charge", "no such key is known"),
        ("D", "placed", "it must be a list"),
    ],
)
def test_a_forged_flask_is_refused_at_its_place(placed, place, words):
    at, sentence = refusal(placed=placed)
    assert at == place
    assert words in sentence


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity"])
def test_a_position_that_is_no_number_is_refused(number):
    text = json.dumps(day_with(placed=[flask(waxes=[{"key": "w1", **SPOT, "x_mm": "HERE"}])]))
    with pytest.raises(Refused):
        read(text.replace('"HERE"', number))


def test_more_flasks_of_a_size_than_there_are_are_refused():
    two = [flask("D", "tree"), flask("E", "tree", [{"key": "w2"}])]
    assert refusal(placed=two) == (
        "placed[1].size",
        '"tree" stands here, but the day has 1 of them; take another size.',
    )
    assert read(json.dumps(day_with(placed=two[:1]))).day.placed


FIXED = {"previous": {"B": {"size": "64x64", "waxes": ["w1"]}}, "fixed": ["B"]}


@pytest.mark.parametrize(
    ("placed", "place", "words"),
    [
        (flask("B", waxes=[{"key": "w1"}, {"key": "w2"}]), "placed[0]", "flask B is invested or poured"),
        (flask("B", "51x64"), "placed[0]", "flask B is invested or poured"),
        (flask("B", whole=False), "placed[0]", "flask B is invested or poured"),
        (flask("D"), "placed[0].waxes[0].key", "it is in flask B, which stays as it is"),
    ],
)
def test_a_poured_flask_stays_as_it_is(placed, place, words):
    at, sentence = refusal(placed=[placed], **FIXED)
    assert (at, words in sentence) == (place, True)


def test_a_fixed_flask_may_keep_its_spots():
    day = read(json.dumps(day_with(placed=[flask("B", waxes=[{"key": "w1", **SPOT}])], **FIXED))).day
    assert day.placed[0].label == "B"


def test_a_wax_held_for_another_flask_is_torn():
    assert refusal(placed=[flask()], held={"w1": "E"})[0] == "placed[0].waxes[0].key"
    assert read(json.dumps(day_with(placed=[flask()], held={"w1": "D"}))).day.placed


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"kept_out": ["w9"]}, "no wax of the day has this key"),
        ({"kept_out": ["w1", "w1"]}, "stands here twice"),
        ({"kept_out": ["w1"], "placed": [flask()]}, "it is kept in flask D"),
        ({"kept_out": ["w1"], "held": {"w1": "D"}}, "it is kept in flask D"),
        ({"kept_out": ["w1"], **FIXED}, "it is kept in flask B"),
    ],
)
def test_what_is_kept_out_is_kept_nowhere_else(changes, words):
    at, sentence = refusal(**changes)
    assert at.startswith("kept_out[") and words in sentence


def test_what_is_kept_out_is_read():
    assert read(json.dumps(day_with(kept_out=["w2"]))).day.kept_out == {"w2"}


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"reach_overruled": {"w1": "bent"}}, "no spot on a cone"),
        ({"reach_overruled": {"w1": "bent"}, "placed": [flask()]}, "no spot on a cone"),
        ({"reach_overruled": {"w1": "bent"}, "placed": [flask(size="tree", waxes=[ON_TREE])]}, "no spot on a cone"),
        ({"reach_overruled": {"w1": " "}, "placed": [flask(waxes=[{"key": "w1", **SPOT}])]}, "must not be blank"),
        ({"reach_overruled": ["w1"]}, "must be an object"),
    ],
)
def test_reach_is_overruled_for_a_spot_and_with_a_reason(changes, words):
    at, sentence = refusal(**changes)
    assert at.startswith("reach_overruled") and words in sentence


def test_an_overruled_reach_is_read_with_its_reason():
    changes = {"reach_overruled": {"w1": "bent"}, "placed": [flask(waxes=[{"key": "w1", **SPOT}])]}
    assert read(json.dumps(day_with(**changes))).day.reach_overruled == {"w1": "bent"}
