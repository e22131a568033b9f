"""Large neighbourhood search: it re-solves groups of flasks, again only in sizes that cost more."""

from dataclasses import replace

import pytest

from casting.calc.grouping.colgen import neighbourhoods
from casting.calc.grouping.colgen.goals import goals_of
from casting.calc.grouping.colgen.neighbourhoods import search_neighbourhoods
from casting.calc.grouping.solution import Candidate, Flask
from tests.casting.calc.grouping.colgen.problems import evaluator_of, generation_of
from tests.days.day_file import a_day_file, wax_row


def colgen_of(sizes):
    """Two rings of sterling in one flask and two of bronze in another, in these sizes."""
    waxes = [wax_row("a1"), wax_row("a2"), wax_row("b1", alloy="si-bronze"), wax_row("b2", alloy="si-bronze")]
    flasks = [Flask(size, frozenset(keys)) for size, keys in zip(sizes, (("a1", "a2"), ("b1", "b2")), strict=True)]
    return generation_of(evaluator_of(a_day_file(waxes)), Candidate(tuple(flasks), frozenset()))


def test_two_rings_in_a_wide_flask_come_into_a_narrow_one():
    colgen = colgen_of(["76x76", "64x76"])
    cost, before = goals_of(colgen.evaluator, colgen.loose)[3], colgen.evaluator.cost_of(colgen.plan.flasks)
    search_neighbourhoods(colgen, cost)
    assert colgen.evaluator.cost_of(colgen.plan.flasks) < before
    assert {flask.size for flask in colgen.plan.flasks} == {"51x64"}
    assert {flask.keys for flask in colgen.plan.flasks} == {frozenset(["a1", "a2"]), frozenset(["b1", "b2"])}


@pytest.mark.parametrize(("size", "groups"), [("64x76", 0), ("51x64", 0), ("76x76", 1)])
def test_a_group_is_solved_again_only_when_it_stands_in_sizes_that_cost_more(monkeypatch, size, groups):
    colgen = colgen_of(["64x76", "64x76"])
    solved = []
    monkeypatch.setattr(
        neighbourhoods, "_solve_again", lambda _one, _goal, group, _others: solved.append(group) or group
    )
    cost = goals_of(colgen.evaluator, colgen.loose)[3]
    search_neighbourhoods(colgen, cost)
    assert len(solved) == 2
    changed = tuple(replace(flask, size=size) if "a1" in flask.keys else flask for flask in colgen.plan.flasks)
    colgen.plan = Candidate(changed, frozenset())
    search_neighbourhoods(colgen, cost)
    assert len(solved) == 2 + groups
