"""What the phone lists of a student's waxes, by day."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from casting.models import CastingDay, Investment, Wax
from casting.presenters.my_waxes import Written, days_of, listed, mark_of, waxes_of, written_of
from casting.services.account.bills import make_bill
from casting.services.flasks import fix_flask
from school.models import Course, School
from tests.casting.account_days import cast, invest, lot_of, prices
from tests.casting.planned import make_plan
from tests.casting_factories import DayFactory, handed_in


def rows(student):
    days = days_of(student)
    (of_day,) = listed(student, days, waxes_of(student), written_of(days))
    return of_day


def test_a_class_sees_its_next_pour_first(course, student):
    later = DayFactory(course=course, pour_at=timezone.now() + timedelta(days=9))
    first = DayFactory(course=course, pour_at=timezone.now() + timedelta(days=2))
    assert days_of(student) == [first, later]


def test_the_newest_wax_stands_first(day, student):
    first, second = handed_in(day, student), handed_in(day, student)
    assert [one.wax for one in rows(student).waxes] == [second, first]


def test_before_a_plan_a_wax_has_its_metal_and_price(day, student):
    handed_in(day, student)
    (one,) = rows(student).waxes
    # 3.20 / 0.96 x 10.36 = 34.533 g at 1.10 a gram.
    assert (round(one.metal_g, 2), one.price.total, one.followed, one.stays) == (34.53, 37.99, None, False)


def test_after_it_the_price_is_that_of_the_plan(day, student, teacher):
    handed_in(day, student)
    plan = make_plan(day, by=teacher)
    day.alloys.update(price_per_g=50.0)
    (one,) = rows(student).waxes
    assert one.price.total == one.followed.found.price.total < 40 and rows(student).is_planned
    fix_flask(day, plan.file["flasks"][0]["label"], "invested", by=teacher)
    assert rows(student).waxes[0].stays


def test_where_bills_are_made_the_phone_says_what_the_bill_will(planned, student, teacher, school):
    prices(school, teacher)
    of_day = rows(student)
    # 34.53 g at 1.60 a gram is 55.25 (55.248), and 6 for the piece; weighed it is 10.25 g: 16.40 and 6.
    assert {one.price.total for one in of_day.waxes} == {61.25} and "20.00" in of_day.on_the_bill
    choices = [choice for one in of_day.waxes for choice in one.choices if choice.alloy.key == "sterling"]
    assert {choice.price.total for choice in choices} == {61.25}, "weighed up against other metals it is the same"
    invest(planned, teacher)
    cast(planned, "A", lot_of(school, teacher), teacher)
    assert {one.price.total for one in rows(student).waxes} == {22.4}
    make_bill(planned, student, by=teacher)
    after = rows(student)
    # 3 x 22.40 and the class fee of 20.
    assert after.bill.total == Decimal("87.20") and {one.price for one in after.waxes} == {None}


def test_a_shelf_that_cannot_be_read_leaves_the_wax_listed(day, student):
    handed_in(day, student)
    Investment.objects.all().delete()
    (one,) = rows(student).waxes
    assert one.answer is None and round(one.metal_g, 2) == 34.53
    day.alloys.clear()
    assert rows(student).waxes[0].metal_g is None


def test_only_the_schools_metal_is_weighed_up_against_others(day, student):
    handed_in(day, student, own_metal=True)
    handed_in(day, student)
    school_s, own = rows(student).waxes
    assert len(school_s.in_other_metals) == 3 and not own.in_other_metals
    assert own.price is None and round(own.metal_g, 2) == 34.53


def test_a_cancelled_day_follows_nothing(day, student, teacher):
    handed_in(day, student)
    make_plan(day, by=teacher)
    CastingDay.objects.update(cancelled_at=timezone.now())
    assert not rows(student).is_planned


def marked(student):
    days = days_of(student)
    return mark_of(days, waxes_of(student), written_of(days))


@pytest.mark.parametrize(
    ("plans", "flasks", "hours", "same"),
    [({1: 1}, (), 2, False), ({}, (), 2, True), ({1: 1}, (), 30, True), ({1: 1}, ((1, "A", "poured"),), -2, True),
     ({1: 1}, ((1, "A", "poured"), (1, "B", "invested")), -2, False)],
)  # fmt: skip
def test_while_a_planned_day_is_near_and_not_poured_the_mark_goes_with_the_clock(
    monkeypatch, plans, flasks, hours, same
):
    day = CastingDay(pk=1, pour_at=timezone.now() + timedelta(hours=hours), course=Course(school=School()))
    marks = [mark_of([day], [], Written(plans, {}, flasks, {}))]
    late = timezone.now() + timedelta(minutes=6)
    monkeypatch.setattr("casting.presenters.my_waxes.now", lambda: late)
    marks.append(mark_of([day], [], Written(plans, {}, flasks, {})))
    assert (marks[0] == marks[1]) is same


def test_the_mark_is_another_as_soon_as_a_wax_is(day, student):
    wax = handed_in(day, student)
    before = marked(student)
    assert marked(student) == before
    Wax.objects.filter(pk=wax.pk).update(version=2)
    assert marked(student) != before
