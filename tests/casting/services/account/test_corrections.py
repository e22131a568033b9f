"""An entry is taken back by another; what stands to a student's name moves with them, and nothing is edited."""

from decimal import Decimal as D

import pytest

from casting.models import Account, AccountEntry, CastingDay, Transfer
from casting.selectors.account.flasks import booked_flasks
from casting.services import day_life
from casting.services.account.bills import make_bill, make_bills
from casting.services.account.book import NotBooked
from casting.services.account.corrections import correct, merge_accounts, undo_merge
from casting.services.account.stock import bring_own, hand_back_own
from school.students import Stays, merge, undo
from tests.casting.account_days import all_zero, balance, cast, invest, lot_of, metal, of_kind, prices

E = AccountEntry.Kind


@pytest.fixture
def lot(planned, teacher, school):
    """The day's one flask A is cast: 119.5 g, of which 3 x 10.25 are castings, 1 sprues, 0.1 lost, the rest button."""
    invest(planned, teacher)
    account = lot_of(school, teacher)
    cast(planned, "A", account, teacher)
    return account


def entry(kind):
    return AccountEntry.objects.filter(kind=kind).latest("pk")


def test_entries_go_back_the_latest_first(planned, lot, teacher, school):
    before = list(Transfer.objects.values())
    for kind in (E.SETTLED, E.WEIGH_BACK, E.WEIGH_OUT):
        correct(entry(kind), by=teacher)
        assert all_zero(school)
    assert balance(lot) == D(500)
    assert all(
        held == 0 for kind in ("flask", "castings", "buttons", "sprues", "loss") for held in of_kind(school, kind)
    )
    assert list(Transfer.objects.values())[: len(before)] == before
    assert booked_flasks(planned)["A"].metal.charge_g == 0
    cast(planned, "A", lot, teacher)  # and it is booked anew


def test_what_has_gone_on_is_not_taken_back(planned, lot, teacher):
    with pytest.raises(NotBooked, match=r"^Flask A: 119\.50"):
        correct(entry(E.WEIGH_OUT), by=teacher)
    with pytest.raises(NotBooked, match=r"^Lot 1: 119\.50"):
        correct(entry(E.LOT), by=teacher)


def test_what_a_settling_or_a_bill_was_made_from_stays(planned, lot, student, teacher, school):
    with pytest.raises(NotBooked, match=r"Flask A is settled\. Take the settling back first\."):
        correct(entry(E.WEIGH_BACK), by=teacher)
    prices(school, teacher)
    bill = make_bill(planned, student, by=teacher)
    with pytest.raises(NotBooked, match=r"Bill 1 charges a casting of flask A\. Take the bill back first\."):
        correct(entry(E.SETTLED), by=teacher)
    for one in (bill, entry(E.SETTLED), entry(E.WEIGH_BACK)):
        correct(one, by=teacher)
    assert all_zero(school)


def test_nothing_is_taken_back_twice_and_no_correction_is(planned, lot, teacher):
    back = correct(entry(E.SETTLED), by=teacher, note="weighed too soon")
    assert (back.corrects, back.note, back.label) == (entry(E.SETTLED), "weighed too soon", "A")
    with pytest.raises(NotBooked, match="taken back already"):
        correct(entry(E.SETTLED), by=teacher)
    with pytest.raises(NotBooked, match="A correction is not taken back"):
        correct(back, by=teacher)


def test_a_shut_day_keeps_its_entries(planned, lot, teacher):
    CastingDay.objects.filter(pk=planned.pk).update(pour_at="2026-01-01T10:00Z")
    day_life.end(CastingDay.objects.get(pk=planned.pk), "given back", by=teacher)
    with pytest.raises(NotBooked, match="This casting day is closed"):
        correct(entry(E.SETTLED), by=teacher)


def test_a_merged_student_hands_over_castings_and_own_metal(planned, lot, student, classmate, teacher, school):
    bring_own(student, metal(school), D(20), by=teacher)
    merge(teacher, student.pk, classmate.pk)
    held = {(one.student, one.kind): balance(one) for one in Account.objects.filter(student__isnull=False)}
    assert held == {
        (student, "own"): 0, (student, "castings"): 0, (classmate, "own"): D(20), (classmate, "castings"): D("30.75"),
    }  # fmt: skip
    for kind in (E.SETTLED, E.WEIGH_BACK):
        correct(entry(kind), by=teacher)
    assert balance(Account.objects.get(student=classmate, kind="castings")) == 0 and all_zero(school)


def test_two_with_a_bill_for_one_day_are_not_merged(planned, lot, student, classmate, teacher, school):
    """By hand: both bills have the class fee, and one person pays it once."""
    planned.waxes.filter(pk=planned.waxes.first().pk).update(student=classmate)
    prices(school, teacher)
    bills = make_bills(planned, by=teacher).bills
    assert len(bills) == 2
    with pytest.raises(Stays, match="each have a bill for"):
        merge(teacher, student.pk, classmate.pk)
    assert {wax.student for wax in planned.waxes.all()} == {student, classmate}
    correct(bills[0], by=teacher)
    merge(teacher, student.pk, classmate.pk)
    assert all_zero(school)


def test_a_merge_is_undone_in_the_account_too(planned, lot, student, classmate, teacher, school):
    change = merge(teacher, student.pk, classmate.pk)
    undo(teacher, change.pk)
    assert balance(Account.objects.get(student=student, kind="castings")) == D("30.75") and all_zero(school)


def test_a_merge_whose_metal_went_home_is_not_undone(day, student, classmate, teacher, school):
    bring_own(student, metal(school), D(20), by=teacher)
    change = merge(teacher, student.pk, classmate.pk)
    hand_back_own(classmate, metal(school), D(20), by=teacher)
    with pytest.raises(Stays, match=r"Tobiah Renn: 20\.00"):
        undo(teacher, change.pk)


def test_moving_nothing_books_nothing(day, student, classmate, teacher):
    assert merge_accounts(student, classmate, by=teacher) == {}
    undo_merge(student, classmate, {}, by=teacher)
    assert not AccountEntry.objects.exists()
