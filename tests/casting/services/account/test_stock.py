"""Lots bought, own metal brought and handed back, sweeps sent away, stock counted: each a transfer."""

import uuid
from decimal import Decimal as D

import pytest

from casting.models import Account, AccountEntry, Lot
from casting.services.account.book import NotBooked
from casting.services.account.stock import LotEntry, bring_own, buy_lot, count, hand_back_own, send_away
from tests.casting.account_days import BOUGHT, all_zero, balance, lot_of, metal, of_kind
from tests.casting_factories import stock


@pytest.fixture
def lot(day, teacher):
    return lot_of(day.course.school, teacher, price=D("340.50"), supplier="Harbour Bullion", certificate="C-17")


def test_a_lot_is_grams_from_outside_and_money_out_of_the_till(lot, school):
    assert balance(lot) == D(500) and of_kind(school, "outside") == [D(-500)]
    assert (of_kind(school, "purchases"), of_kind(school, "till")) == ([D("340.50")], [D("-340.50")])
    assert all_zero(school) and lot.lot.number == 1


def test_a_lot_of_unknown_price_moves_no_money(lot, teacher, school):
    lot_of(school, teacher)
    assert of_kind(school, "purchases") == [D("340.50")] and Lot.objects.latest("pk").number == 2


@pytest.mark.parametrize("grams", ["0", "-3", "50000.1"])
def test_no_lot_weighs_nothing_or_too_much(lot, school, teacher, grams):
    with pytest.raises(NotBooked, match="must be more than nothing and at most 50000"):
        lot_of(school, teacher, grams=grams)
    assert Lot.objects.count() == 1


def test_a_lot_is_of_a_metal_of_the_school(lot, school, teacher, other_teacher):
    stock(other_teacher.school)
    entry = LotEntry(alloy=metal(other_teacher.school), weight_g=D(5), bought_on=BOUGHT)
    with pytest.raises(NotBooked, match="Choose a metal of your school"):
        buy_lot(school, entry, by=teacher)


def test_the_same_form_books_one_lot(day, school, teacher):
    key, entry = uuid.uuid4(), LotEntry(alloy=metal(school), weight_g=D(5), bought_on=BOUGHT)
    assert buy_lot(school, entry, by=teacher, key=key) == buy_lot(school, entry, by=teacher, key=key)
    assert Lot.objects.count() == 1


def test_own_metal_is_handed_back_to_the_last_gram_and_no_further(day, student, teacher, school):
    bring_own(student, metal(school), D("31.10"), by=teacher)
    with pytest.raises(NotBooked, match=r"A student's own metal, Sunniva Okoro: 0\.01"):
        hand_back_own(student, metal(school), D("31.11"), by=teacher)
    hand_back_own(student, metal(school), D("31.10"), by=teacher)
    assert of_kind(school, "own") == [0] == of_kind(school, "outside")


def test_own_metal_brought_twice_by_one_form_is_there_once(day, student, teacher, school):
    key = uuid.uuid4()
    assert bring_own(student, metal(school), D(9), by=teacher, key=key) == bring_own(
        student, metal(school), D(9), by=teacher, key=key
    )
    assert of_kind(school, "own") == [D(9)]


def test_what_is_sent_to_the_refiner_leaves_the_stock(lot, teacher, school, student):
    send_away(school, lot.pk, D(20), by=teacher, note="filings")
    assert balance(lot) == D(480) and AccountEntry.objects.latest("pk").note == "filings"
    with pytest.raises(NotBooked, match="Lot 1: 20"):
        send_away(school, lot.pk, D(500), by=teacher)
    own = bring_own(student, metal(school), D(9), by=teacher).transfers.get().to_account
    with pytest.raises(NotBooked, match="not in the stock of your school"):
        send_away(school, own.pk, D(1), by=teacher)


@pytest.mark.parametrize(("counted", "found"), [("499.2", "-0.8"), ("500.3", "0.3")])
def test_a_count_books_the_difference(lot, teacher, school, counted, found):
    count(school, lot.pk, D(counted), by=teacher)
    assert balance(lot) == D(counted) and of_kind(school, "count") == [-D(found)] and all_zero(school)


def test_a_count_that_agrees_books_nothing(lot, teacher, school):
    with pytest.raises(NotBooked, match="is what the account says too"):
        count(school, lot.pk, D(500), by=teacher)


def test_another_school_counts_nothing_here(lot, other_teacher):
    with pytest.raises(NotBooked, match="not in the stock of your school"):
        count(other_teacher.school, lot.pk, D(1), by=other_teacher)
    assert Account.objects.filter(kind="count").count() == 0
