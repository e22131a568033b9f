"""Which pieces are on the list, on which days they can be cast again, and which wax is the new one."""

import datetime as dt

import pytest
from django.utils import timezone

from casting.models import CastingDay, PieceDefect, Recast
from casting.selectors.recast import handed_in_again, not_on_list, open_days_of, recast_of
from casting.services.running.mishaps import Met, note_mishap
from tests.casting.account_days import invest
from tests.casting_factories import DayFactory, handed_in


@pytest.fixture
def lost(planned, teacher):
    """The three pieces of a flask that leaked, by tag."""
    invest(planned, teacher)
    note_mishap(planned, Met("leaked", ("A",), "none"), by=teacher)
    return list(Recast.objects.order_by("wax__tag"))


def test_the_school_sees_its_own_and_a_day_also_what_will_do(lost, planned, teacher, other_teacher):
    Recast.objects.filter(pk=lost[0].pk).update(fate="usable")
    assert recast_of(teacher) == lost[1:] and recast_of(teacher, planned) == lost
    assert recast_of(other_teacher) == []


def test_a_piece_is_cast_again_on_a_day_of_its_class_that_takes_waxes(lost, course):
    soon = DayFactory(course=course, pour_at=timezone.now() + dt.timedelta(days=30))
    DayFactory(course=course, pour_at=timezone.now() + dt.timedelta(days=31), closed_at=timezone.now())
    DayFactory()
    assert open_days_of(lost) == {course.pk: [lost[0].wax.day, soon]}


def test_the_new_wax_is_one_of_the_same_name_on_that_day_and_none_counts_twice(lost, course, student):
    again = DayFactory(course=course, pour_at=timezone.now() + dt.timedelta(days=30))
    for row in lost[:2]:
        row.next_day = again
        row.save()
    handed_in(again, student, what="signet")
    handed_in(again, what="plain band")  # somebody else's
    assert handed_in_again(lost) == {}
    new = handed_in(again, student, what="Plain band")
    assert handed_in_again(lost) == {lost[0].pk: new}
    assert handed_in_again([]) == {}


def test_what_did_not_fill_belongs_on_the_list_until_it_is_there(planned, teacher):
    wax = planned.waxes.order_by("tag").first()
    assert not_on_list(planned) == {}
    PieceDefect.objects.create(wax=wax, kind="rough", where="thin")
    assert not_on_list(planned) == {}
    PieceDefect.objects.create(wax=wax, kind="incomplete", where="thin")
    assert not_on_list(planned) == {wax: "unfilled"}
    Recast.objects.create(wax=wax, fate="again", at=timezone.now())
    assert not_on_list(CastingDay.objects.select_related("course__school").get(pk=planned.pk)) == {}


def test_before_a_plan_nothing_is_missing(day):
    assert not_on_list(day) == {}
