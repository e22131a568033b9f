"""A year by months: each weight is the metal account's own, and what nobody settled weighs nothing."""

import datetime as dt
from decimal import Decimal as D

import pytest

from casting.models import Account, AccountEntry, PieceDefect, Transfer
from casting.selectors.looking_back.year import year_of
from casting.services.account.corrections import correct
from tests.casting.account_days import lot_of
from tests.casting.past_days import earlier, in_month, weighed

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot(day, school, teacher):
    return lot_of(school, teacher, grams="2000")


def test_months_add_up_what_the_account_has_of_their_flasks(planned, lot, teacher, school):
    # Two flasks in March, each of 119.5 g, with castings of 99 g and 283 g of powder; lost were 1.5 and 0.5 g.
    for button in ("18", "19"):
        past = earlier(planned, 7)
        weighed(past, lot, teacher, button)
        in_month(past, 3)
    for where in ("thin", "far"):
        PieceDefect.objects.create(wax=past.waxes.first(), kind="rough", where=where, by=teacher)
    march = year_of(school, 2025).months[2]
    tally = march.flasks
    assert (march.days, tally.poured, tally.settled, tally.pieces, march.with_defect) == (2, 2, 2, 6, 1)
    assert (tally.metal.charge_g, tally.metal.castings_g, tally.metal.left_g) == (239, 198, 2)
    assert march.powder_g == 2 * 283
    assert year_of(school, 2025).metals["sterling"].metal == tally.metal
    assert year_of(school, 2025).years == [2025] and year_of(school, 2024).months[2].days == 0


def test_a_flask_that_is_not_settled_is_poured_and_weighs_nothing(planned, lot, teacher, school):
    past = earlier(planned, 7)
    weighed(past, lot, teacher, "18")
    in_month(past, 3)
    correct(AccountEntry.objects.get(kind="settled"), by=teacher)
    tally = year_of(school, 2025).months[2].flasks
    assert (tally.poured, tally.settled, tally.pieces, tally.metal.charge_g) == (1, 0, 0, 0)


def test_metal_across_the_door_is_told_by_the_month_on_the_school_s_clock(lot, teacher, school):
    # Half past three on 1 February in UTC is still January in New York.
    at = dt.datetime(2025, 2, 1, 3, 30, tzinfo=dt.UTC)
    outside = Account.objects.get(school=school, kind="outside")
    for ends, amount in (((outside, lot), D(500)), ((lot, outside), D("1.5"))):
        entry = AccountEntry.objects.create(school=school, kind="count", by=teacher, at=at)
        Transfer.objects.create(entry=entry, from_account=ends[0], to_account=ends[1], amount=amount)
    january, february, *_others = year_of(school, 2025).months
    assert (january.came_g, january.went_g) == (D(500), D("1.5")) and february.came_g == 0


def test_it_asks_as_often_for_many_days(planned, lot, teacher, school, django_assert_num_queries):
    for month in (1, 2, 3):
        past = earlier(planned, 7)
        weighed(past, lot, teacher, "18")
        in_month(past, month)
        with django_assert_num_queries(8):
            year_of(school, 2025)


def test_another_school_has_none_of_it(planned, other_teacher):
    in_month(earlier(planned, 7), 3)
    year = year_of(other_teacher.school, 2025)
    assert not any(month.days for month in year.months) and year.years == []
