"""Whose waxes have changed since a plan, in sentences."""

from decimal import Decimal

from casting.models import Plan
from casting.presenters.since_plan import changes_since
from casting.services import waxes
from casting.services.flasks import hold_wax
from tests.casting_factories import handed_in, wax_entry


def said(day):
    """Without the hour, which comes last."""
    return [words.rpartition(", ")[0] for words in changes_since(Plan.objects.latest_of(day))]


def test_a_withdrawal_names_the_wax_whose_it_is_and_who_did_it(planned, student, teacher):
    first, second, third = planned.waxes.order_by("tag")
    assert said(planned) == []
    waxes.withdraw(first, by=student, version=1)
    waxes.withdraw(second, by=teacher, version=1)
    hold_wax(third, "A", by=teacher)
    assert said(planned) == [
        f"{first.tag}, {student.called}: withdrawn",
        f"{second.tag}, {student.called}: withdrawn by {teacher.name}",
    ]


def test_of_a_wax_changed_twice_the_last_change_is_told_and_a_late_one_is_too(planned, student):
    wax = planned.waxes.first()
    wax = waxes.change(wax, by=student, version=1, entry=wax_entry(planned, wax_g=Decimal("2.50")))
    waxes.withdraw(wax, by=student, version=2)
    late = handed_in(planned, student)
    assert said(planned)[0] == f"{wax.tag}, {student.called}: withdrawn"
    assert said(planned)[1].startswith(f"{late.tag}, {student.called}: handed in: ") and len(said(planned)) == 2
