"""A step is planned while others write, and counts what they wrote."""

import threading

import pytest
from django.db import connection

from casting import solve
from casting.models import BoardStep, Plan
from casting.models.errors import NotPlanned
from casting.presenters.standing import standing_of
from casting.selectors.board import Kept, last_step
from casting.selectors.day_file import is_outdated
from casting.services import board_drafts as drafts
from casting.services.board import BoardChanged, take_step, undo
from casting.services.board_drafts import DayRows
from casting.services.board_moves import Move, moved
from casting.services.flasks import fix_flask
from tests.casting_factories import handed_in

LONG_S = 10
"""Half of what SQLite would wait for a lock; whoever need not wait is done at once."""


def latest(day):
    return Plan.objects.latest_of(day)


def home(day):
    return {wax["key"]: flask["label"] for flask in latest(day).file["flasks"] for wax in flask["waxes"]}


def out(day, tag, by):
    return take_step(day, Move("out", tag=tag), revision=latest(day).revision, by=by)


@pytest.fixture
def meanwhile(monkeypatch):
    """While the next plan of a board is checked, somebody else does this over another connection, so many times."""
    check = solve.check

    def at_each(work, times=1):
        left, failed = [work] * times, []

        def somebody_else():
            try:
                left.pop()()
            except Exception as error:
                failed.append(error)
            finally:
                connection.close()

        def checked(day):
            if left:
                thread = threading.Thread(target=somebody_else)
                thread.start()
                thread.join(LONG_S)
                assert not thread.is_alive(), "whoever writes waits for a plan"
                assert not failed
            return check(day)

        monkeypatch.setattr(solve, "check", checked)

    return at_each


@pytest.mark.django_db(transaction=True)
def test_a_wax_is_handed_in_while_a_step_is_planned_and_the_step_counts_it(planned, student, teacher, meanwhile):
    tag, late = min(home(planned)), []
    meanwhile(lambda: late.append(handed_in(planned, student).tag))
    out(planned, tag, teacher)
    assert {row["key"] for row in latest(planned).file["left_out"]} == {tag, *late}
    assert not is_outdated(latest(planned))
    # So does an undo, which then plans anew.
    meanwhile(lambda: late.append(handed_in(planned, student).tag))
    undo(planned, revision=latest(planned).revision, by=teacher)
    assert tag in home(planned) and len(late) == 2 and not is_outdated(latest(planned))


@pytest.mark.django_db(transaction=True)
def test_a_flask_invested_while_a_step_is_planned_is_not_moved_by_it(planned, teacher, meanwhile):
    tag = min(home(planned))
    before = latest(planned).plan_file
    meanwhile(lambda: fix_flask(planned, home(planned)[tag], "invested", by=teacher))
    with pytest.raises(NotPlanned, match="is on the bench and stays as it is"):
        out(planned, tag, teacher)
    assert latest(planned).plan_file == before and not BoardStep.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_of_two_steps_planned_at_once_the_second_is_refused(planned, teacher, meanwhile):
    one, other = sorted(home(planned))[:2]
    meanwhile(lambda: out(planned, other, teacher))
    with pytest.raises(BoardChanged, match=f"{other} left out"):
        out(planned, one, teacher)
    assert one in home(planned) and other not in home(planned)


@pytest.mark.django_db(transaction=True)
def test_a_day_that_goes_on_changing_is_planned_twice_and_then_refused(planned, student, teacher, meanwhile):
    before = latest(planned).plan_file
    meanwhile(lambda: handed_in(planned, student), times=3)
    with pytest.raises(NotPlanned, match="was changed while this was planned"):
        out(planned, min(home(planned)), teacher)
    assert latest(planned).plan_file == before and planned.waxes.count() == 5


def test_a_draft_is_of_the_rows_that_it_was_made_of(planned, student, teacher):
    standing = standing_of(planned, latest(planned))
    after = moved(standing, Move("out", tag=min(home(planned))))
    draft = drafts.planned(planned, DayRows(after.kept), after)
    assert draft.is_of(planned) and not Plan.objects.filter(revision=2).exists()
    as_before = drafts.as_before(latest(planned), after)
    handed_in(planned, student)
    assert not draft.is_of(planned)
    assert as_before.is_of(planned) and as_before.files[1] == latest(planned).plan_file


def test_an_earlier_plan_comes_back_as_it_was_unless_the_day_has_changed(planned, student, teacher):
    first = latest(planned)
    out(planned, min(home(planned)), teacher)
    assert drafts.again(planned, first, DayRows()).files == (first.day_file, first.plan_file)
    handed_in(planned, student)
    assert drafts.again(planned, first, DayRows()).files[1] != first.plan_file
    assert Kept.of(last_step(planned)).out
