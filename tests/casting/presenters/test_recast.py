"""The recast list in turn, and what a student reads of a piece."""

import datetime as dt

import pytest
from django.utils import timezone

from casting.models import CastingDay, PieceDefect, Recast
from casting.presenters.my_waxes import waxes_of
from casting.presenters.recast import places_kept, recast_list, told_student, why_of, without_new_wax
from casting.services.running.mishaps import Met, decide_piece, note_mishap
from casting.services.running.recast import keep_place
from tests.casting.account_days import invest
from tests.casting_factories import DayFactory, handed_in


@pytest.fixture
def again(course):
    return DayFactory(course=course, pour_at=timezone.now() + dt.timedelta(days=30))


@pytest.fixture
def lost(planned, teacher):
    invest(planned, teacher)
    note_mishap(planned, Met("leaked", ("A",), "metal"), by=teacher)
    rows = list(Recast.objects.order_by("wax__tag"))
    for row, fate in zip(rows, ("again", "usable", "look"), strict=True):
        decide_piece(planned, row.wax.tag, fate, by=teacher)
    return list(Recast.objects.order_by("wax__tag"))


def test_each_piece_stands_where_it_belongs_with_why_and_the_days_it_can_have(lost, again, planned, teacher):
    of_day = recast_list(teacher, planned)
    (line,) = of_day.again
    assert (line.row, line.nth, line.why, line.days) == (lost[0], 1, "A leaked", [again])
    assert [one.row for one in of_day.usable] == [lost[1]] and [one.row for one in of_day.to_look_at] == [lost[2]]
    of_school = recast_list(teacher)
    assert of_school.usable == [] and len(of_school.again) == 1
    keep_place(lost[0], again, by=teacher)
    CastingDay.objects.filter(pk=again.pk).update(closed_at=timezone.now())
    (line,) = recast_list(teacher).again
    assert line.days == [] and line.days_to_choose == [again]


def test_a_piece_is_on_the_schools_list_until_its_new_wax_is_poured(lost, again, student, teacher):
    keep_place(lost[0], again, by=teacher)
    assert places_kept(again) == [lost[0]]
    new = handed_in(again, student)
    assert [line.new_wax for line in recast_list(teacher).again] == [new] and places_kept(again) == []
    CastingDay.objects.filter(pk=again.pk).update(pour_at=timezone.now() - dt.timedelta(days=1))
    assert recast_list(teacher).again == [] and len(recast_list(teacher, lost[0].wax.day).again) == 1


def test_what_did_not_fill_is_offered_with_who_says_so(planned, teacher):
    wax = planned.waxes.order_by("tag").first()
    PieceDefect.objects.create(wax=wax, kind="incomplete", where="thin")
    assert recast_list(teacher, planned).unlisted == [(wax, "did not fill, as a defect says")]
    assert why_of(Recast(wax=wax)) == "It did not come out, or did not fill"


def test_a_student_reads_what_becomes_of_a_piece_and_when_it_is_cast_again(lost, again, student, teacher):
    told = [told_student(row) for row in lost]
    assert told == [
        "Flask A leaked. It is cast again, from a new wax. Your teacher chooses the day.",
        "",
        "Flask A leaked. Your piece is looked at when it is out.",
    ]
    keep_place(lost[0], again, by=teacher)
    row = Recast.objects.in_turn().get(pk=lost[0].pk)
    assert told_student(row).startswith("Flask A leaked. It is cast again: ")
    row.mishap = None
    assert told_student(row).startswith("It did not come out, or did not fill. It is cast again: ")
    assert [wax.pk for wax in without_new_wax(waxes_of(student))] == [row.wax_id]
    handed_in(again, student)
    assert without_new_wax(waxes_of(student)) == []
