"""The budget: more effort is more of everything, and the steps go from roomy flasks to full ones."""

from dataclasses import fields
from itertools import pairwise

from casting.calc.grouping.budget import EFFORT, FIRST_EFFORT, FURTHER_EFFORT, RUNGS, SITE_EFFORT, STEPS, Budget


def test_more_effort_is_never_less_of_anything():
    budgets = [Budget.of(effort, 40, 7, 5) for effort in (1, 5, 10, 25, 100, 250, 400, 1600, 6400)]
    for less, more in pairwise(budgets):
        for name in (one.name for one in fields(Budget)):
            if name == "steps":
                assert more.steps[: len(less.steps)] == less.steps
            else:
                assert getattr(more, name) >= getattr(less, name), name


def test_work_done_before_does_not_shorten_a_search():
    fresh, later = Budget.of(100, 12, 0, 0), Budget.of(100, 12, 900, 50_000)
    assert (later.layouts - fresh.layouts, later.weighed - fresh.weighed) == (900, 50_000)


def test_twice_as_many_waxes_have_twice_as_much_work_for_layouts():
    # 15 units of work for layouts a unit of effort up to 50 waxes, so 1500 at an effort of 100.
    assert [Budget.of(100, waxes, 0, 0).layouts for waxes in (1, 50, 99, 100, 200)] == [1500, 1500, 1500, 3000, 6000]


def test_every_effort_that_somebody_asks_for_ends_on_a_rung_or_before_the_first():
    assert min(RUNGS) > FIRST_EFFORT
    assert {EFFORT, SITE_EFFORT, FURTHER_EFFORT} <= set(RUNGS)


def test_later_steps_are_fuller_and_search_for_layouts_no_less():
    for one, other in pairwise(STEPS):
        assert one.full < other.full and one.work <= other.work
