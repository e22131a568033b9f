"""Quenched and given back: noted with who and when, corrected, taken back, asked about where it is too soon."""

import datetime as dt

import pytest
from django.utils import timezone

from casting.calc.values.enums import Tick
from casting.models import Flask
from casting.models.errors import NotPlanned
from casting.presenters.opened_plan import OpenedPlan
from casting.selectors.flasks import noted_on, on_bench
from casting.services.flasks import fix_flask
from casting.services.running.after_pour import (
    QuenchDoubted,
    may_quench_from,
    note_given_back,
    note_quenched,
    undo_given_back,
    undo_quenched,
)

NOON = dt.datetime(2027, 1, 9, 19, 0, tzinfo=dt.UTC)


@pytest.fixture
def clock(monkeypatch):
    def at(minute):
        monkeypatch.setattr(timezone, "now", lambda: NOON + dt.timedelta(minutes=minute))

    at(0)
    return at


@pytest.fixture
def poured(planned, teacher, clock):
    """Flask A, poured at noon with every wax of the day in it."""
    fix_flask(planned, "A", Flask.State.INVESTED, by=teacher)
    fix_flask(planned, "A", Flask.State.POURED, by=teacher, poured_at=NOON)
    return planned


def test_it_is_quenched_once_its_minutes_are_over_and_asked_about_before(poured, teacher, clock):
    """Sterling in the smallest flask: the pour takes 5 min (house rule), then 10 min (the shelf's quench table)."""
    assert may_quench_from(poured, "A", NOON) == NOON + dt.timedelta(minutes=15)
    # A clock shows whole minutes: what began within one is over with one, never before.
    assert may_quench_from(poured, "A", NOON + dt.timedelta(seconds=20)) == NOON + dt.timedelta(minutes=16)
    clock(14)
    with pytest.raises(QuenchDoubted, match=r": 1 min too soon\. A red button spits") as asked:
        note_quenched(poured, "A", by=teacher)
    assert asked.value.label == "A" and on_bench(poured)["A"].quenched is None
    clock(15)
    note_quenched(poured, "A", by=teacher)
    clock(25)
    note_quenched(poured, "A", by=teacher)  # pressed again
    noted = on_bench(poured)["A"].quenched
    assert (noted.at, noted.by) == (NOON + dt.timedelta(minutes=15), teacher.name)


def test_whoever_quenched_it_early_says_so_and_the_time_is_corrected(poured, teacher, clock):
    clock(9)
    note_quenched(poured, "A", by=teacher, sure=True, who="Nadia Ferro")
    clock(30)
    note_quenched(poured, "A", by=teacher, at=NOON + dt.timedelta(minutes=20))
    assert on_bench(poured)["A"].quenched.at == NOON + dt.timedelta(minutes=20)
    for minute, said in ((31, "it is now"), (-1, "it was poured on")):
        with pytest.raises(NotPlanned, match=said):
            note_quenched(poured, "A", by=teacher, at=NOON + dt.timedelta(minutes=minute))
    undo_quenched(poured, "A", by=teacher)
    assert on_bench(poured)["A"].quenched is None


def test_a_quench_within_the_minute_of_its_pour_is_too_soon_and_not_before_it(planned, teacher, clock):
    """Poured at 12:00:40 by a tablet, quenched at 12:00 as somebody types it."""
    fix_flask(planned, "A", Flask.State.INVESTED, by=teacher)
    clock(2)
    fix_flask(planned, "A", Flask.State.POURED, by=teacher, poured_at=NOON + dt.timedelta(seconds=40))
    with pytest.raises(QuenchDoubted, match=r"16 min too soon"):
        note_quenched(planned, "A", by=teacher, at=NOON)


def test_only_what_is_poured_is_quenched_and_only_what_is_quenched_is_given_back(planned, teacher):
    tag = planned.waxes.first().tag
    with pytest.raises(NotPlanned, match=r"Flask A is not poured\. Mark it as poured first\."):
        note_quenched(planned, "A", by=teacher)
    with pytest.raises(NotPlanned, match=rf"Flask A with {tag} is not quenched yet\."):
        note_given_back(planned, [tag], by=teacher)
    with pytest.raises(NotPlanned, match=r"No flask of this day has wax ZZ\."):
        note_given_back(planned, ["ZZ"], by=teacher)
    assert may_quench_from(planned, "Q", NOON) is None


def test_a_piece_is_given_back_and_what_comes_before_it_stays_until_that_is_taken_back(poured, teacher, clock):
    clock(20)
    note_quenched(poured, "A", by=teacher)
    first, *others = [wax.tag for wax in poured.waxes.standing()]
    note_given_back(poured, [first, first], by=teacher, who="Nadia Ferro")
    assert noted_on(poured)[Tick.COLLECTED, first].by == "Nadia Ferro"
    with pytest.raises(NotPlanned, match=rf"{first} of flask A is given back already\. Take that back first\."):
        undo_quenched(poured, "A", by=teacher)
    with pytest.raises(NotPlanned, match=r"Flask A is quenched\. Take that back first\."):
        fix_flask(poured, "A", Flask.State.INVESTED, by=teacher)

    def flask():
        (found,) = OpenedPlan(poured.plans.first()).sheet.flasks
        return found.quenched, found.given_back

    assert flask() == (True, False)
    note_given_back(poured, others, by=teacher)
    assert flask() == (True, True)
    undo_given_back(poured, first, by=teacher)
    assert flask() == (True, False)
