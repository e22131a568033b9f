"""The nearest changes of a day that cannot work: every one planned and true, and none of a day that works."""

import json

import pytest

from casting.calc.plan_day import DaySearch, plan_day
from casting.calc.values.enums import Do
from casting.calc.values.errors import Refused
from casting.dayfile import read, write
from casting.worker.nearest import Change, What, apply_change, nearest_changes, needs_change
from tests.days.day_file import a_day_file, wax_row

WAXES = [wax_row("w1"), wax_row("w2", section="heavy"), wax_row("w3", alloy="si-bronze")]
LATE = {"now": "2027-06-12T20:00"}
SHORT = {"hours": {"opens": "09:00", "closes": "18:30", "hand_in_until": "16:00"}}
NARROW = {"hours": {"opens": "09:00", "closes": "09:05"}}
EFFORT = 10


def offers_of(day):
    search = DaySearch(read(json.dumps(day)).day)
    try:
        plan = search.plan(EFFORT)
    except Refused:
        plan = None
    return list(nearest_changes(day, search, EFFORT, plan))


def planned(day):
    there = read(json.dumps(day))
    return plan_day(there.day, EFFORT), there


@pytest.mark.parametrize("why", [LATE, LATE | {"hours": NARROW["hours"] | {"closes": "18:30"}}, SHORT, NARROW])
def test_every_change_offered_is_planned_and_works(why):
    day = a_day_file(WAXES, **why)
    offers = offers_of(day)
    assert 2 <= len(offers) <= 3
    for offer in offers:
        plan, there = planned(apply_change(day, offer.change))
        assert not needs_change(plan)
        assert write(plan, there) == write(offer.plan, offer.day)


def closes(plan):
    return next(step.at for step in plan.steps if step.do is Do.HAND_IN_CLOSES)


def test_the_least_later_pour_is_found_to_the_minute():
    """Every flask, bowl and wax as at 10:00: with a quarter of an hour to press it, mounting begins at 20:15."""
    day = a_day_file(WAXES, **LATE)
    first = offers_of(day)[0]
    assert first.change.what is What.POUR and first.day.day.now + 15 == closes(first.plan)
    assert first.change.value == "2027-06-13T11:58-06:00"


def test_the_same_time_on_the_first_day_that_works_is_offered_too():
    assert [one.change.value for one in offers_of(a_day_file(WAXES, **LATE))][1] == "2027-06-14T10:00-06:00"


def test_hand_in_that_closes_too_early_is_answered_by_the_hour_it_can_keep_and_by_longer_hours():
    day = a_day_file(WAXES, **SHORT)
    offers = {offer.change.what: offer for offer in offers_of(day)}
    plan = planned(day)[0]
    # The kiln is loaded as the studio closes: a later pour changes nothing before that, an hour later closing does.
    assert needs_change(plan) and set(offers) == {What.UNTIL, What.CLOSES}
    assert closes(offers[What.UNTIL].plan) == closes(plan)
    # 18:30 and the minutes that hand-in is to stay open longer, from 15:22 to 16:00.
    assert (offers[What.UNTIL].change.value, offers[What.CLOSES].change.value) == ("15:22", "19:08")


def test_hands_are_offered_where_they_help():
    """Mounting of 20 waxes by one takes 4 x 20 min and more: a second pair of hands halves it."""
    many = [wax_row(f"w{n}") for n in range(20)]
    day = a_day_file(many, rules={"hands": 1}, hours={"opens": "09:00", "closes": "18:30", "hand_in_until": "14:30"})
    offers = {offer.change.what: offer.change.value for offer in offers_of(day)}
    assert needs_change(planned(day)[0]) and offers.get(What.HANDS) == 2


def test_a_day_that_works_needs_no_change():
    assert not needs_change(planned(a_day_file(WAXES))[0])


@pytest.mark.parametrize(
    ("change", "where", "value"),
    [
        (Change(What.POUR, "2027-06-13T11:00"), ("pour_at",), "2027-06-13T11:00"),
        (Change(What.CLOSES, "19:00"), ("hours", "closes"), "19:00"),
        (Change(What.HANDS, 4), ("rules", "hands"), 4),
    ],
)
def test_a_change_changes_one_thing(change, where, value):
    day = a_day_file(WAXES, **SHORT)
    after = apply_change(day, change)
    there = after
    for key in where:
        there = there[key]
    assert there == value and day == a_day_file(WAXES, **SHORT)
