"""The database keeps the metal account: added to and never changed, metal of one kind, gone with its school alone."""

from decimal import Decimal as D

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.models import RestrictedError, Sum

from casting.models import Account, AccountEntry, Lot, PriceList, SchoolLeaving, Transfer
from casting.models.account import ExactField
from school.models import School
from tests.casting.account_days import all_zero, balance, lot_of, metal, prices
from tests.casting_factories import stock


@pytest.fixture
def lot(day, teacher):
    return lot_of(day.course.school, teacher, price=D("340.50"))


def refused(write):
    """What the database says to a write, which leaves nothing."""
    with pytest.raises(IntegrityError) as refusal, transaction.atomic():
        write()
    return str(refusal.value)


KEPT = "The metal account is only added to: correct an entry by another entry."
ROWS = [Lot, PriceList, Account, AccountEntry, Transfer]


@pytest.mark.parametrize("model", ROWS)
def test_no_row_is_changed_or_deleted(model, lot, teacher, school):
    prices(school, teacher)
    rows = model.objects.all()
    before = list(rows.values())
    assert before
    column = {Lot: "supplier", PriceList: "per_gram", Account: "label", AccountEntry: "note", Transfer: "what"}[model]
    assert KEPT in refused(lambda: rows.update(**{column: "x"}))
    assert KEPT in refused(lambda: rows._raw_delete(rows.db))
    table = model._meta.db_table
    with connection.cursor() as cursor:  # past Django too
        assert KEPT in refused(lambda: cursor.execute(f"DELETE FROM {table}"))
        assert KEPT in refused(lambda: cursor.execute(f"UPDATE {table} SET id = id + 1000"))
    assert list(rows.values()) == before


def moved(giver, taker, amount=D(1), entry=None):
    return lambda: Transfer.objects.create(
        entry=entry or AccountEntry.objects.latest("pk"), from_account=giver, to_account=taker, amount=amount
    )


ONE_KIND = "A transfer is between two accounts of one school and one kind of metal, or of money."


def test_a_transfer_is_of_one_metal_or_of_money(lot, teacher, school):
    bronze, till = lot_of(school, teacher, "si-bronze"), Account.objects.get(school=school, kind="till")
    for one, other in ((lot, bronze), (lot, till), (till, lot)):
        assert ONE_KIND in refused(moved(one, other))
    fresh = lot_of(school, teacher)
    moved(lot, fresh)()
    assert balance(fresh) == D(501)


def test_a_transfer_stays_within_a_school(lot, teacher, other_teacher, school):
    stock(other_teacher.school)
    theirs = lot_of(other_teacher.school, other_teacher)
    assert ONE_KIND in refused(moved(lot, theirs))
    more = lot_of(school, teacher)
    of_theirs = AccountEntry.objects.filter(school=other_teacher.school).latest("pk")
    assert ONE_KIND in refused(moved(lot, more, entry=of_theirs))


@pytest.mark.parametrize("amount", [D(0), D("-0.0001")])
def test_a_transfer_moves_something(lot, teacher, school, amount):
    assert "transfer_moves_something" in refused(moved(lot, lot_of(school, teacher), amount))


def test_a_transfer_is_between_two_accounts(lot):
    assert "transfer_between_two_accounts" in refused(moved(lot, lot))


def test_an_account_holds_metal_or_money(lot, school):
    for kind, alloy in (("till", metal(school)), ("sweeps", None)):
        assert "account_of_metal_has_an_alloy" in refused(
            lambda kind=kind, alloy=alloy: Account.objects.create(school=school, kind=kind, alloy=alloy)
        )


def test_a_day_with_metal_stays(lot, day, student, teacher):
    AccountEntry.objects.create(school=day.course.school, kind="weigh_out", day=day, by=teacher)
    with pytest.raises(RestrictedError):
        day.delete()


def test_a_school_goes_with_its_account_and_takes_no_other_with_it(lot, day, other_teacher, school):
    stock(other_teacher.school)
    theirs = lot_of(other_teacher.school, other_teacher)
    school.delete()
    assert list(Account.objects.filter(kind="lot")) == [theirs] and all_zero(other_teacher.school)
    assert not School.objects.filter(pk=SchoolLeaving.objects.get().number).exists()
    assert KEPT in refused(lambda: Transfer.objects.filter(entry__school=other_teacher.school)._raw_delete("default"))


def test_decimals_are_whole_in_the_database(lot, day, teacher):
    """A tenth and two tenths are three tenths: in binary floating point they are not."""
    lot_of(day.course.school, teacher, grams="0.1")
    lot_of(day.course.school, teacher, grams="0.2")
    small = Lot.objects.filter(weight_g__lt=1)
    assert small.aggregate(Sum("weight_g"))["weight_g__sum"] == D("0.3")
    with connection.cursor() as cursor:
        cursor.execute("SELECT weight_g FROM casting_lot ORDER BY id")
        assert [row[0] for row in cursor.fetchall()] == [5_000_000, 1000, 2000]


def test_a_number_that_would_lose_a_digit_is_no_amount():
    field = ExactField()
    assert field.get_prep_value(D("1.2345")) == 12345 and field.get_prep_value(None) is None
    with pytest.raises(ValueError, match="more than 4 places"):
        field.get_prep_value(D("1.23456"))
    with pytest.raises(TypeError, match="is a float"):
        field.get_prep_value(0.1)
    assert field.from_db_value(12345, None, None) == D("1.2345") == field.to_python("1.2345")
    assert field.from_db_value(None, None, None) is field.to_python(None) is None
