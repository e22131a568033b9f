"""A day cancelled, closed, and both taken back."""

import datetime as dt

import pytest
from django.utils import timezone

from casting.models import CastingDay, Flask
from casting.models.errors import NotPlanned
from casting.presenters.day_history import history_of_day
from casting.services.day_life import LONGEST, cancel, end, not_poured, reopen, uncancel
from casting.services.waxes import HandInClosed
from tests.casting_factories import handed_in


def now(day):
    return CastingDay.objects.select_related("course__school").get(pk=day.pk)


@pytest.fixture
def over(day):
    CastingDay.objects.filter(pk=day.pk).update(pour_at=timezone.now() - dt.timedelta(hours=6))
    return now(day)


def test_a_cancelled_day_says_who_and_why_and_takes_no_wax(day, student, teacher):
    cancel(day, "  the pump\nis broken ", by=teacher)
    assert (
        now(day).why_shut == f"This casting day is cancelled, by {teacher.name}: the pump is broken. It stays as it is."
    )
    with pytest.raises(HandInClosed, match="cancelled"):
        handed_in(day, student)


def test_a_day_that_takes_place_after_all_takes_waxes_again(day, student, teacher):
    cancel(day, "the pump is broken", by=teacher)
    uncancel(day, by=teacher)
    uncancel(day, by=teacher)
    assert now(day).why_shut == "" and handed_in(day, student).tag
    assert [one.words for one in history_of_day(now(day))] == ["cancelled: the pump is broken", "takes place after all"]


@pytest.mark.parametrize(
    ("why", "said"),
    [("", "Write why"), ("  \n", "Write why"), ("a\0b", "Write why"), ("x" * (LONGEST + 1), "201 characters long")],
)
def test_a_reason_that_is_none_or_too_long_cancels_nothing(day, teacher, why, said):
    with pytest.raises(NotPlanned, match=said):
        cancel(day, why, by=teacher)
    assert now(day).cancelled_at is None and not day.changes.exists()


def test_the_longest_reason_is_taken(day, teacher):
    cancel(day, "x" * LONGEST, by=teacher)
    assert now(day).cancelled_why == "x" * LONGEST


def test_a_day_is_closed_only_after_its_pour_has_begun(day, teacher):
    with pytest.raises(NotPlanned, match="has not begun yet"):
        end(day, "", by=teacher)
    assert now(day).ended_at is None


def test_a_day_with_all_poured_is_closed_without_a_word(over, teacher):
    Flask.objects.create(day=over, label="A", state=Flask.State.POURED)
    end(over, "", by=teacher)
    end_at = now(over).ended_at
    assert end_at is not None and [one.words for one in history_of_day(now(over))] == ["closed"]
    reopen(over, by=teacher)
    reopen(over, by=teacher)
    assert now(over).ended_at is None and over.changes.count() == 2


def test_what_is_not_poured_is_named_and_asked_for(over, teacher):
    for label, state in (("A", "poured"), ("B", "invested"), ("C", "planned")):
        Flask.objects.create(day=over, label=label, state=state)
    assert not_poured(over) == ["B", "C"]
    with pytest.raises(NotPlanned, match="Not poured: B, C"):
        end(over, " ", by=teacher)
    assert now(over).ended_at is None
    end(over, "B cracked and is struck", by=teacher)
    assert [one.words for one in history_of_day(now(over))] == ["closed: B cracked and is struck"]
