"""Two plans side by side: which stands beside the board's, and what of each flask is marked."""

import json

from casting.models import Plan, Search
from casting.presenters.board_beside import Beside
from casting.presenters.opened_plan import OpenedPlan
from casting.services.board import bring_back, take_step, undo
from casting.services.board_moves import Move
from tests.casting_factories import handed_in


def beside(day, key=""):
    return Beside(OpenedPlan(Plan.objects.latest_of(day)), key)


def out(day, teacher, revision):
    tag = day.waxes.order_by("tag")[revision - 1].tag
    take_step(day, Move("out", tag=tag), revision=revision, by=teacher)
    return tag


def test_without_a_choice_the_computers_last_plan_stands_beside(planned, teacher):
    assert beside(planned).rows == () and beside(planned).choices == []
    out(planned, teacher, 1)
    out(planned, teacher, 2)
    assert [row.key for row in beside(planned).rows] == ["3", "1"]
    assert [row.key for row in beside(planned, "2").rows] == ["3", "2"]
    assert [one.key for one in beside(planned).choices] == ["2", "1"]
    for unknown in ("9", "3", "offer", "sooner", "9" * 30):
        assert beside(planned, unknown).chosen in ("", "1")


def test_what_differs_is_marked_on_both_and_what_is_the_same_on_none(planned, teacher):
    tag = out(planned, teacher, 1)
    ours, theirs = beside(planned).rows
    assert ours.waiting == (tag,) and theirs.waiting == ()
    assert tag in theirs.flasks[0].marked and tag not in ours.flasks[0].marked
    charge, powder = ours.flasks[0].figures[1], dict(ours.line)["powder"]
    assert charge[1] and ours.flasks[0].differs and dict(ours.line)["cost"].was
    # The same flask takes the same powder, whatever stands in it: worked from its size alone.
    assert not ours.flasks[0].figures[2][1] and not powder.was
    undo(planned, revision=2, by=teacher)
    same = beside(planned, "1").rows
    assert not any(flask.differs for row in same for flask in row.flasks)
    assert not any(figure.was for row in same for _name, figure in row.line)


def test_what_a_search_found_meanwhile_stands_first(planned, teacher):
    out(planned, teacher, 1)
    first = Plan.objects.get(day=planned, revision=1)
    found = json.dumps({"aside": "offered", "plan": first.file, "day_file": first.day_file})
    search = Search.objects.filter(day=planned, kind=Search.Kind.PLAN).first()
    Search.objects.filter(pk=search.pk).update(found=found)
    shown = beside(planned)
    assert [row.key for row in shown.rows] == ["2", "offer"] and shown.choices[0].key == "offer"
    handed_in(planned, planned.waxes.first().student)
    # It is no plan of the day any more.
    assert beside(planned).choices[0].key == "1"


def test_a_plan_brought_back_is_told_by_its_revision(planned, teacher):
    out(planned, teacher, 1)
    bring_back(planned, 1, revision=2, by=teacher)
    out(planned, teacher, 3)
    assert next(one.what for one in beside(planned).choices) == "revision 1 brought back"
