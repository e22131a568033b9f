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
