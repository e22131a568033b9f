"""A day at a glance, from a plan by hand and from plans of the search."""

import json

from casting.dayfile import read
from casting.presenters.day_outline import outline_of, pours_of
from casting.presenters.people import people_beside
from casting.presenters.plan_reader import plan_sheet_of, read_plan
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.days.written_plans import as_text, plan_of_24, plan_of_none


def sheet_of(plan, **more):
    return plan_sheet_of(plan.file, read(plan.day_file), **more)


def outline(plan, **more):
    return outline_of(sheet_of(plan, **more), people_beside(plan.file, read(plan.day_file), ""))


def test_the_times_of_a_day_run_from_hand_in_to_the_last_flask(day, teacher):
    handed_in(day)
    plan = make_plan(day, by=teacher)
    times = {str(name): at.isoformat() for name, at in outline(plan).times}
    step = {row["do"]: row["at"] for row in plan.file["steps"]}
    assert times == {
        "Hand-in closes": step["hand_in_closes"],
        "First mix": step["mix"],
        "Kiln 1 on": step["kiln_on"],
        "First pour": step["pour"],
        "Last pour": step["pour"],
        "Last flask cleaned out": step["divest"],
    }
    assert list(times.values()) == sorted(times.values())


def test_a_bowl_has_set_when_the_last_of_its_flasks_has(day, teacher):
    handed_in(day)
    plan = make_plan(day, by=teacher)
    (mixing,) = outline(plan).mixing
    (until,) = [row["until"] for row in plan.file["steps"] if row["do"] == "set"]
    assert mixing.set_by.isoformat() == until and mixing.bowl.flasks == ("A",)


def test_flasks_of_one_kiln_are_loaded_in_one_line_until_that_is_done(day, teacher):
    handed_in(day)
    plan = make_plan(day, by=teacher)
    (load,) = outline(plan).loading
    assert (load.kiln_named, load.flasks, load.done) == ("Kiln 1", ("A",), False)
    on = {plan.file["firings"][0]["kiln"]: load.at}
    (load,) = outline(plan, on_bench={"A": "invested"}, kilns_on=on).loading
    assert load.done


def test_pours_come_in_their_order_with_their_melts():
    sheet = read_plan(*as_text(*plan_of_24()))
    assert [pour.flask.label for pour in pours_of(sheet)] == list("ABCDEFGH")
    # That plan says nothing of melts.
    assert {pour.melt_at for pour in pours_of(sheet)} == {None}


def test_a_plan_without_a_flask_has_an_empty_day():
    plan_text, day_text = as_text(*plan_of_none())
    people = people_beside(json.loads(plan_text), read(day_text), "")
    empty = outline_of(read_plan(plan_text, day_text), people)
    assert (empty.mixing, empty.loading, empty.kilns, empty.pours, empty.stones, empty.quenched) == (
        (), (), (), (), (), False,
    )  # fmt: skip
