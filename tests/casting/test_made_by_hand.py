"""Laws of days made by hand: each board keeps the contract, and a plan given back is the same plan."""

import json
import random

import pytest

from casting import solve
from casting.calc.values.errors import Refused
from casting.dayfile import read
from tests.contract import breaches
from tests.days.class_day import class_day
from tests.days.day_file import a_day_file, given_back, planned, wax_row
from tests.days.hand_made import hand_made

DRAWN = random.Random().randrange(2**32)
"""Another in each run; a failure names it."""
BOARDS = 20


@pytest.mark.parametrize("nth", range(BOARDS))
def test_a_board_made_at_random_keeps_the_contract(nth):
    chance = random.Random(f"{DRAWN}, {nth}")
    day = hand_made(class_day(chance.randrange(10_000), chance.choice([8, 12, 16])), chance)
    try:
        plan = planned(day, effort=10)
    except Refused as refused:  # at random more is asked of stock or kilns than there is
        assert "kiln" in refused.sentence or "layout" in refused.sentence, (DRAWN, nth, refused)
        return
    assert breaches(day, plan) == [], (DRAWN, nth)
    back = given_back(day, plan, held={}, previous={})
    again = json.loads(solve.check(read(json.dumps(back))))
    assert breaches(back, again) == [], (DRAWN, nth)
    assert as_made(again) == as_made(plan), (DRAWN, nth)


def as_made(plan):
    """A plan without what only says who made it."""
    flasks = [
        {key: value for key, value in flask.items() if key != "by_hand"}
        | {"waxes": [{key: value for key, value in wax.items() if key != "by_hand"} for wax in flask["waxes"]]}
        for flask in plan["flasks"]
    ]
    return {"flasks": flasks} | {key: plan[key] for key in ("bowls", "totals", "firings", "steps", "cautions")}


def texts_of(day):
    return list(solve.plan_texts(json.dumps(day).encode(), [5, 100]))


def test_a_day_that_is_placed_to_the_end_is_planned_once_and_alike_by_both_doors():
    day = class_day(7, 12)
    back = given_back(day, planned(day))
    first = solve.check(read(json.dumps(back)))
    assert texts_of(back) == [first]
    assert solve.check(read(json.dumps(back))) == first  # the same `placed` again, as after an undo
    assert given_back(day, json.loads(first)) == back


def test_what_needs_a_search_is_told_apart():
    day = a_day_file([wax_row("w1"), wax_row("w2")])
    back = given_back(day, planned(day))
    assert solve.needs_no_search(read(json.dumps(back)))
    for changed in (day, back | {"kept_out": ["w9"], "waxes": [*day["waxes"], wax_row("w9")]}):
        assert solve.needs_no_search(read(json.dumps(changed))) is (changed is not day)
    assert not solve.needs_no_search(read(json.dumps(back | {"waxes": [*day["waxes"], wax_row("w9")]})))


def test_a_first_pour_that_is_too_soon_is_refused_with_its_clock_by_the_quick_door_too():
    day = a_day_file([wax_row("w1")])
    back = given_back(day, planned(day), now=day["pour_at"])
    with pytest.raises(Refused, match="The earliest first pour is"):
        solve.check(read(json.dumps(back)))


TREE = {"key": "102x152", "diameter_mm": 101.6, "height_mm": 152.4, "count": 1, "mount": "tree"}


def test_a_tree_given_back_with_its_tiers_is_the_same_plan():
    rings = [wax_row(f"W{n:02}", wax_g=2.5, depth_mm=6.0, height_mm=22.0) for n in range(8)]
    day = a_day_file(rings, rules={"crucible_ml": 150, "melt_max_g": 1400}, flask_sizes=[TREE])
    plan = planned(day, effort=10)
    back = given_back(day, plan)
    assert {wax["tier"] for wax in back["placed"][0]["waxes"]} == {wax["tier"] for wax in plan["flasks"][0]["waxes"]}
    again = json.loads(solve.check(read(json.dumps(back))))
    assert breaches(back, again) == [] and as_made(again) == as_made(plan)


def test_a_tree_whose_tier_hangs_too_low_is_refused():
    rings = [wax_row(f"W{n:02}", wax_g=2.5, depth_mm=6.0, height_mm=22.0) for n in range(3)]
    day = a_day_file(rings, rules={"crucible_ml": 150, "melt_max_g": 1400}, flask_sizes=[TREE])
    back = given_back(day, planned(day, effort=10))
    for wax in back["placed"][0]["waxes"]:
        wax["z_mm"] -= 1
    with pytest.raises(Refused, match=r"placed\[0\]: flask A: the tier of W00 stands too low"):
        solve.check(read(json.dumps(back)))


def test_the_program_fills_an_open_flask_around_spots_that_stay_and_leaves_a_whole_one_alone():
    stud = {"wax_g": 0.7, "width_mm": 8.0, "depth_mm": 6.0, "height_mm": 20.0}
    day = a_day_file([wax_row(f"s{n}", **stud) for n in range(6)])
    spot = {"x_mm": 4.0, "y_mm": 9.0, "turn_deg": 77.0}
    open_ = {"label": "K", "size": "64x64", "whole": False, "waxes": [{"key": "s0", **spot}, {"key": "s1"}]}
    whole = {"label": "L", "size": "51x64", "waxes": [{"key": "s2"}]}
    file = day | {"placed": [open_, whole], "kept_out": ["s5"]}
    for effort in (5, 100):
        plan = planned(file, effort)
        assert breaches(file, plan) == []
        inside = {flask["label"]: [wax["key"] for wax in flask["waxes"]] for flask in plan["flasks"]}
        assert inside == {"K": ["s0", "s1", "s3", "s4"], "L": ["s2"]}  # four have room in a 64 x 64
        assert plan["left_out"] == [
            {"key": "s5", "reason": "kept_out", "detail": "The teacher leaves it out today.", "cure": None}
        ]
        assert plan["proof"]["as_placed"] == ["K", "L"] and plan["proof"]["why"].startswith("Flasks K and L as placed")


def test_an_invested_flask_keeps_the_spots_it_was_made_with():
    day = a_day_file([wax_row(key, wax_g=0.7, width_mm=8.0, depth_mm=6.0, height_mm=20.0) for key in ("w1", "w2")])
    one, other = {"x_mm": 2.0, "y_mm": 9.5, "turn_deg": 20.0}, {"x_mm": 0.0, "y_mm": -8.0, "turn_deg": 0.0}
    made = day | {"placed": [{"label": "A", "size": "51x64", "waxes": [{"key": "w1", **one}, {"key": "w2", **other}]}]}
    invested = made | {"previous": {"A": {"size": "51x64", "waxes": ["w1", "w2"]}}, "fixed": ["A"]}
    assert solve.needs_no_search(read(json.dumps(invested)))
    stands, still = (planned(file)["flasks"][0]["waxes"] for file in (made, invested))
    assert stands == still and breaches(invested, planned(invested)) == []
