"""The plan on the clock again as the day goes: what is noted moves what follows, by the schedule's own rules."""

import datetime as dt
import json

import pytest

from casting.dayfile import read
from casting.presenters.running.expected import GoneWrong, expected_of
from tests.days.day_file import a_day_file, planned, wax_row


@pytest.fixture(scope="module")
def made():
    """Four flasks of one wax each, of their own metals: the day, its plan, and the labels in the order of pours."""
    waxes = [wax_row(f"w{nth}", owner=f"student-{nth}", student=f"student-{nth}") for nth in range(4)]
    file = a_day_file(waxes)
    plan = planned(file)
    day = read(json.dumps(file))
    rows = sorted(plan["flasks"], key=lambda row: row["out_at"])
    return day, plan, [row["label"] for row in rows]


def minute(day, number):
    return day.pour_at + dt.timedelta(minutes=number)


def times(made, poured=None, kilns_on=None, now=-60, behind=None):
    """When each flask is poured, in minutes from the planned first pour, in their order."""
    day, plan, labels = made
    noted = {label: minute(day, at) for label, at in (poured or {}).items()}
    found = expected_of(plan, day, noted, kilns_on or {}, minute(day, now), behind)
    assert set(found) == set(labels)
    return {label: round((one.out_at - day.pour_at) / dt.timedelta(minutes=1)) for label, one in found.items()}


def as_planned(made):
    day, plan, _labels = made
    return {
        row["label"]: round((dt.datetime.fromisoformat(row["out_at"]) - day.pour_at) / dt.timedelta(minutes=1))
        for row in plan["flasks"]
    }


def test_before_the_first_pour_it_is_the_plan_itself(made):
    assert times(made) == as_planned(made)
    found = expected_of(made[1], made[0], {}, {}, minute(made[0], -60))
    assert {one.behind_min for one in found.values()} == {0}


def test_a_first_pour_that_is_late_moves_all_that_follow_by_as_much(made):
    """Pours stand the pitch apart, so 12 min late stays 12 min late."""
    first = made[2][0]
    late = times(made, {first: 12}, now=12)
    assert late == {label: at + 12 for label, at in as_planned(made).items()}


def test_a_flask_that_is_not_poured_at_its_time_waits_until_now(made):
    plan, first = as_planned(made), made[2][0]
    assert times(made, now=7)[first] == 7 and times(made, now=7) == {label: at + 7 for label, at in plan.items()}


def test_a_flask_poured_out_of_turn_takes_its_place_in_the_row(made):
    first, second, third, _last = made[2]
    found = times(made, {third: 0}, now=1)
    assert list(found)[:3] == [third, first, second] and found[third] == 0
    # The next comes no sooner than the house's pitch after it: 5 min of pour, then the larger of pitch and pour.
    rules = made[0].day.rules
    assert found[first] == rules.pitch_min


def test_a_kiln_that_is_late_by_more_than_its_reserve_moves_the_first_pour(made):
    """The plan keeps 60 min in reserve (`slack_min`): 40 min late cost nothing, 90 cost 30."""
    day, plan, labels = made
    (firing,) = plan["firings"]
    on_at = dt.datetime.fromisoformat(firing["on_at"])
    reserve = day.day.rules.slack_min
    for late, moved in ((40, 0), (reserve + 30, 30)):
        on = {firing["kiln"]: on_at + dt.timedelta(minutes=late)}
        assert times(made, kilns_on=on)[labels[0]] == moved
        same = times(made, kilns_on={firing["kiln"]: on_at}, behind={firing["kiln"]: late})
        assert same[labels[0]] == moved


def test_a_poured_flask_is_quenched_from_when_it_was_poured(made):
    """5 min of pour and the table's minutes of its diameter after it."""
    day, plan, labels = made
    found = expected_of(plan, day, {labels[0]: minute(day, 3)}, {}, minute(day, 4))
    row = next(row for row in plan["flasks"] if row["label"] == labels[0])
    wait = dt.datetime.fromisoformat(row["quench_at"]) - dt.datetime.fromisoformat(row["out_at"])
    assert found[labels[0]].quench_at == minute(day, 3) + wait and found[labels[0]].poured
    # 20 s later is a minute later on the clock, never less than the wait.
    found = expected_of(plan, day, {labels[0]: minute(day, 3) + dt.timedelta(seconds=20)}, {}, minute(day, 4))
    assert found[labels[0]].quench_at == minute(day, 4) + wait


def test_a_day_without_a_flask_has_none(made):
    assert expected_of({"flasks": [], "firings": []}, made[0], {}, {}, minute(made[0], 0)) == {}


def test_a_late_flask_waits_and_the_others_of_its_kiln_and_temperature_go_first(made):
    """By hand: it can leave 40 min after the first pour; the others keep their order, each as soon as its turn is."""
    day, plan, labels = made
    wrong = GoneWrong(not_before={labels[0]: minute(day, 40)})
    found = expected_of(plan, day, {}, {}, minute(day, -60), wrong=wrong)
    alike = {row["label"] for row in plan["flasks"] if same_heat(plan, row, labels[0])}
    first = found[labels[0]]
    assert round((first.out_at - day.pour_at) / dt.timedelta(minutes=1)) >= 40
    assert alike == set(labels) and list(found) == [*labels[1:], labels[0]]
    assert found[labels[1]].out_at <= expected_of(plan, day, {}, {}, minute(day, -60))[labels[1]].out_at


def same_heat(plan, row, label):
    of = next(one for one in plan["flasks"] if one["label"] == label)
    return (row["kiln"], row["flask_c"]) == (of["kiln"], of["flask_c"])


def test_a_flask_that_is_not_poured_any_more_is_not_expected_and_nobody_waits_for_it(made):
    day, plan, labels = made
    found = expected_of(plan, day, {}, {}, minute(day, -60), wrong=GoneWrong(out={labels[0]}))
    assert list(found) == labels[1:]
    assert expected_of(plan, day, {}, {}, minute(day, -60), wrong=GoneWrong(out=set(labels))) == {}
