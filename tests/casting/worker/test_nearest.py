"""The nearest changes of a day that cannot work: every one planned and true, and none of a day that works."""

import json
import random
from collections import Counter

import pytest

from casting.calc.plan_day import DaySearch, plan_day
from casting.calc.values.enums import Do
from casting.calc.values.errors import Refused
from casting.dayfile import read, write
from casting.worker.nearest import (
    Change,
    What,
    apply_change,
    is_slow,
    lacks_kiln,
    last_pour,
    nearest_changes,
    needs_change,
)
from tests.casting.calc.schedule.test_bench_pace import WEAK, class_of
from tests.days.class_day import class_day
from tests.days.day_file import a_day_file, wax_row

WAXES = [wax_row("w1"), wax_row("w2", section="heavy"), wax_row("w3", alloy="si-bronze")]
LATE = {"now": "2027-06-12T20:00"}
SHORT = {"hours": {"opens": "09:00", "closes": "18:30", "hand_in_until": "16:00"}}
NARROW = {"hours": {"opens": "09:00", "closes": "09:05"}}
EFFORT = 10
KILNS = class_day(100, 1)["kilns"]
SIZES = {size["key"]: size for size in class_day(100, 1)["flask_sizes"]}

# Eight rings go into two 76x76, whose firing is the 8 hours one, or into four 51x64, whose firing is 2 hours shorter.
RINGS = {"waxes": [wax_row(f"w{n}") for n in range(8)], "flask_sizes": [SIZES["51x64"], SIZES["76x76"]]}
# Nine bronze rings and twelve of sterling: a chamber of 150 mm with 25 mm free of its walls takes one flask.
CROWDED = {
    "waxes": [wax_row(f"w{n:02}", alloy="si-bronze" if n < 9 else "sterling") for n in range(21)],
    "kilns": [{**KILNS[0], "width_mm": 150, "depth_mm": 150}],
}
# A resin is fired 8 hours; the second kiln alone heats by 160 degrees C an hour, the first by 250.
SLOW_KILN = {
    "waxes": [wax_row("a", section="very_thin"), wax_row("b", section="heavy", pattern="print-resin")],
    "kilns": KILNS[1:],
    "hours": {"opens": "09:00", "closes": "20:00", "hand_in_until": "16:50"},
}


def own_plan(day):
    """The search of a day and its plan; None if it is refused."""
    search = DaySearch(read(json.dumps(day)).day)
    try:
        return search, search.plan(EFFORT)
    except Refused:
        return search, None


def offers_of(day, kilns=()):
    search, plan = own_plan(day)
    return list(nearest_changes(day, search, EFFORT, plan, kilns))


def true_offers(day, kilns=()):
    """The day's own plan and the changes by what they change, each planned again from its own day file.

    It gives the same bytes, and no wax is left out that was in.
    """
    search, own = own_plan(day)
    offers = list(nearest_changes(day, search, EFFORT, own, kilns))
    for offer in offers:
        plan, there = planned(apply_change(day, offer.change, kilns))
        assert not needs_change(plan) and write(plan, there) == write(offer.plan, offer.day)
        assert {left.key for left in plan.left_out} <= search.left_out(EFFORT)
    return own, {offer.change.what: offer for offer in offers}


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


# 45 g flasks at 50 W melt in 9 min (`test_bench_pace`): seven end 18 min late, at 11:06.
SLOW = class_of(7, rules=WEAK)


def test_a_bench_that_cannot_keep_up_is_offered_one_more_torch_and_a_stronger_one():
    own, offers = true_offers(SLOW)
    assert is_slow(own) and last_pour(own) == 66
    assert [(what, offer.change.value) for what, offer in offers.items()] == [(What.TORCHES, 2), (What.MELT_W, 100)]
    # Six pitches of 8 min. 45 g at 376.1 J/g and 100 W: 2.82 + 3 min, so 6, and 2 until the torch is free.
    assert [last_pour(offer.plan) for offer in offers.values()] == [48, 48]
    assert not any(is_slow(offer.plan) for offer in offers.values())


def test_one_more_torch_brings_its_hands():
    day = class_of(7, rules=WEAK | {"hands": 1})
    _own, offers = true_offers(day)
    changed = apply_change(day, offers[What.TORCHES].change)["rules"]
    assert (changed["torches"], changed["hands"]) == (2, 2)
    assert apply_change(day | {"rules": {"hands": 5}}, Change(What.TORCHES, 2))["rules"]["hands"] == 5


def test_no_torch_is_offered_to_a_bench_that_keeps_up_or_for_less_than_ten_minutes():
    assert offers_of(class_of(6, rules=WEAK)) == []
    # A melter of 10 min: free after 2, so a pour every 12 min where the pitch is 8, and no torch to be stronger.
    melter = class_of(7, rules={"melter_min": 10})
    assert [one.change.what for one in offers_of(melter)] == [What.TORCHES]


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


def test_smaller_flasks_are_offered_where_their_shorter_firing_saves_the_day():
    """At 17:30 two flasks of 76x76 should be mixed; with 51x64 and the 6 hours firing there are two hours more."""
    day = a_day_file(now="2027-06-12T17:30", **RINGS)
    offer = true_offers(day, KILNS)[1][What.SIZES]
    assert offer.change.value == ("51x64",) and not offer.plan.left_out
    assert offer.plan.flasks[0].out_at == 0 and closes(offer.plan) >= offer.day.day.now + 15


@pytest.mark.parametrize(
    "changes",
    [
        # Half an hour later mounting would be cut, though the firing is as much shorter as before.
        {"now": "2027-06-12T18:00"},
        # The fifth size of flask is fired 6 hours too: leaving it out saves nothing.
        {"now": "2027-06-12T20:00", "flask_sizes": [SIZES["51x64"], SIZES["64x64"]]},
        # Without the larger flasks three of eight rings are left out.
        {"now": "2027-06-12T17:30", "flask_sizes": [SIZES["51x64"] | {"count": 2}, SIZES["76x76"]]},
    ],
)
def test_smaller_flasks_are_not_offered_where_they_do_not_help(changes):
    day = a_day_file(**RINGS | changes)
    own, offers = true_offers(day, KILNS)
    assert own is None and What.SIZES not in offers


def test_a_size_of_a_flask_on_the_bench_is_never_set_aside():
    invested = {"w0": 0, "w1": 0, "w2": 0, "w3": 0}
    fixed = {"previous": {"A": {"size": "76x76", "waxes": list(invested)}}, "fixed": ["A"]}
    day = a_day_file(now="2027-06-12T17:30", **RINGS, **fixed)
    assert What.SIZES not in true_offers(day, KILNS)[1]


def test_another_kiln_is_offered_where_it_keeps_the_hand_in_open():
    own, offers = true_offers(a_day_file(**SLOW_KILN), KILNS)
    assert needs_change(own) and offers[What.KILNS].change.value == ("k1", "k2")


def test_another_kiln_is_offered_for_waxes_that_find_no_room_and_takes_them():
    day = a_day_file(**CROWDED)
    kilns = [*CROWDED["kilns"], KILNS[1]]
    own, offers = true_offers(day, kilns)
    # Five rings find room in the one flask.
    assert lacks_kiln(own) and not needs_change(own) and len(own.left_out) == 16
    assert set(offers) == {What.KILNS} and not offers[What.KILNS].plan.left_out


@pytest.mark.parametrize(
    ("day", "kilns"),
    [
        (SLOW_KILN, SLOW_KILN["kilns"]),  # the school has no other
        (SLOW_KILN, [KILNS[1], KILNS[1] | {"key": "k3"}]),  # another as slow does not help
        (CROWDED, CROWDED["kilns"]),
        (CROWDED, [*CROWDED["kilns"], KILNS[1] | {"height_mm": 60}]),  # too low for any flask
    ],
)
def test_another_kiln_is_not_offered_where_there_is_none_or_it_does_not_help(day, kilns):
    assert What.KILNS not in true_offers(a_day_file(**day), kilns)[1]


@pytest.mark.parametrize("seed", range(10))
def test_what_is_offered_on_random_days_is_planned_and_true(seed):
    r = random.Random(seed)
    day = class_day(300 + seed, r.choice([4, 6, 8]))
    kilns = day["kilns"]
    day["kilns"] = r.choice([kilns, kilns[:1], kilns[1:]])
    if r.random() < 0.6:
        day["now"] = f"2027-03-13T{r.randrange(15, 21)}:{r.choice(['00', '30'])}"
    else:
        day["hours"] = {
            "opens": "09:00",
            "closes": r.choice(["16:00", "18:30"]),
            "hand_in_until": r.choice(["13:00", "15:30"]),
        }
    plan, offers = true_offers(day, kilns)
    works = plan is not None and not needs_change(plan)
    assert not offers if works and not lacks_kiln(plan) else offers or works


def test_other_equipment_offered_on_random_days_is_planned_and_true():
    """Rings too late for the long firing, and resins a little late in the slow kiln, each of random size and number."""
    offered = Counter()
    for seed in range(6):
        r = random.Random(seed)
        rings = [wax_row(f"w{n}", width_mm=r.uniform(19, 23), section=r.choice(["thin", "medium"])) for n in range(7)]
        late = RINGS | {"waxes": rings, "now": f"2027-06-12T17:{r.randrange(20, 50)}"}
        resins = [wax_row(f"r{n}", pattern="print-resin", wax_g=r.uniform(2.5, 4)) for n in range(r.choice([1, 2]))]
        until = SLOW_KILN["hours"] | {"hand_in_until": f"16:{r.randrange(45, 60)}"}
        for day in (late, SLOW_KILN | {"waxes": [SLOW_KILN["waxes"][0], *resins], "hours": until}):
            _own, offers = true_offers(a_day_file(**day), KILNS)
            offered.update(offers.keys())
    assert offered[What.SIZES] >= 2 and offered[What.KILNS] >= 2
