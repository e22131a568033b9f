"""The changes of a wax in sentences."""

import dataclasses
from decimal import Decimal

from django.db import connection
from django.test.utils import CaptureQueriesContext

from casting.models import Alloy, PatternMaterial
from casting.presenters.formats import units_of
from casting.presenters.wax_history import by_teachers, history_of
from casting.selectors.shelf import names_of
from casting.services import waxes as wax_services
from casting.services.flasks import hold_wax
from tests.casting_factories import handed_in, wax_entry


def told(wax):
    school = wax.day.course.school
    history = history_of(wax.changes.all(), names_of(school), units_of(school))
    return [(change.who, change.words) for change in history]


def test_who_changed_what_is_told_in_order(day, student, teacher):
    wax = handed_in(day, student)
    school = day.course.school
    other = wax_entry(
        day,
        wax_g=Decimal("3.1"),
        alloy=Alloy.objects.get(school=school, key="gold-14k"),
        own_metal=True,
        thickest_mm=Decimal("2.5"),
        sprue_g=Decimal("0.4"),
        sprue_pattern=PatternMaterial.objects.get(school=school, key="print-resin"),
    )
    wax = wax_services.change(wax, by=teacher, version=1, entry=other)
    wax = wax_services.withdraw(wax, by=student, version=2)
    wax_services.bring_back(wax, by=teacher, version=3)
    gold, resin = (names_of(school)[key] for key in ("gold-14k", "print-resin"))
    assert told(wax) == [
        (student.called, "handed in: plain band, 3.20\u202fg"),
        (
            teacher.name,
            f"weight 3.10\u202fg, was 3.20\u202fg; metal {gold} (own), was Sterling silver; "
            f"thickest part 2.5\u202fmm, was not recorded; sprue of another material 0.40\u202fg, {resin}, was none",
        ),
        (student.called, "withdrawn"),
        (teacher.name, "handed in again"),
    ]


def test_a_change_that_changes_no_figure_is_left_out(day, student, teacher):
    wax = handed_in(day, student)
    wax_services.change(wax, by=teacher, version=1, entry=wax_entry(day, entered="3.20"))
    assert len(told(wax)) == 1


def test_somebody_who_has_left_is_named_so(day, student, teacher):
    wax = handed_in(day, student)
    wax_services.change(wax, by=teacher, version=1, entry=wax_entry(day, wax_g=Decimal(3)))
    teacher.delete()
    assert told(wax)[1][0] == "somebody who has left"


def test_a_student_reads_what_teachers_changed_in_three_queries(day, student, teacher):
    waxes = [handed_in(day, student) for _nth in range(3)]
    own = dataclasses.replace(wax_entry(day), wax_g=Decimal(3))
    with CaptureQueriesContext(connection) as none:
        assert by_teachers(waxes, day.course.school) == {}
    assert len(none) == 1
    for wax in waxes[:2]:
        wax_services.change(wax, by=teacher, version=1, entry=own)
    wax_services.change(waxes[2], by=student, version=1, entry=own)
    with CaptureQueriesContext(connection) as queries:
        found = by_teachers(waxes, day.course.school)
    assert len(queries) == 3
    assert {pk: [one.words for one in changes] for pk, changes in found.items()} == {
        wax.pk: ["weight 3.00\u202fg, was 3.20\u202fg"] for wax in waxes[:2]
    }


def test_a_wax_that_a_teacher_keeps_in_a_flask_is_told_to_teachers_alone(planned, student, teacher):
    wax = planned.waxes.first()
    for label in ("A", ""):
        hold_wax(wax, label, by=teacher)
    assert told(wax)[1:] == [(teacher.name, "kept in flask A"), (teacher.name, "let go of its flask")]
    assert by_teachers([wax], student.school) == {}
