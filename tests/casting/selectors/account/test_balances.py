"""Balances against sums by hand, and as often asked for many accounts as for few."""

from decimal import Decimal as D

import pytest
from django.utils import timezone

from casting.models import Account, Alloy, Transfer
from casting.selectors.account.balances import all_balances, balances_of, metals_of, owners_of, sums
from casting.services.account.stock import bring_own
from school.students import merge
from tests.casting.account_days import cast, invest, lot_of, metal
from tests.casting_factories import stock


@pytest.fixture
def lot(planned, teacher, school):
    invest(planned, teacher)
    account = lot_of(school, teacher, price=D("340.5"))
    cast(planned, "A", account, teacher)
    return account


def by_hand(account):
    """Added up in Python, transfer by transfer: another way than the database's."""
    into = sum((one.amount for one in Transfer.objects.filter(to_account=account)), D(0))
    return into - sum((one.amount for one in Transfer.objects.filter(from_account=account)), D(0))


def test_every_balance_is_what_goes_in_less_what_goes_out(lot, school):
    balances = all_balances(school)
    assert balances == {one: by_hand(one) for one in Account.objects.all()} and len(balances) > 6
    assert balances[lot] == D("380.5")
    assert balances_of([lot.pk, 0]) == {lot.pk: D("380.5"), 0: 0} and balances_of([]) == {}


def test_the_sums_are_of_each_metal_and_of_money(lot, school, teacher):
    lot_of(school, teacher, "si-bronze")
    assert sorted(sums(school).values()) == [0, 0, 0] and None in sums(school)


def test_another_school_is_not_counted(lot, school, other_teacher):
    stock(other_teacher.school)
    lot_of(other_teacher.school, other_teacher)
    assert {one.school for one in all_balances(school)} == {school}


def test_metals_and_owners_of_which_something_is_left_are_still_there(lot, school, student, classmate, teacher):
    bring_own(student, metal(school), D(3), by=teacher)
    Alloy.objects.filter(school=school).update(offered=False)
    assert list(metals_of(school)) == [metal(school)]
    assert set(owners_of(school)) == {student, classmate}
    merge(teacher, classmate.pk, student.pk)
    assert list(owners_of(school)) == [student]
    student.removed_at = timezone.now()
    student.save()
    assert list(owners_of(school)) == [student], "3 g of theirs lie in the safe"


def test_it_asks_once(lot, school, django_assert_num_queries):
    with django_assert_num_queries(1):
        balances_of(range(50))
    with django_assert_num_queries(1):
        sums(school)
    with django_assert_num_queries(2):
        all_balances(school)
