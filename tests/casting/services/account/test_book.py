"""The one door of the account: written whole, held against what there is, or not at all."""

import uuid
from decimal import Decimal as D

import pytest
from django.db import transaction

from casting.models import AccountEntry, CastingDay, Transfer
from casting.services.account.book import Document, Line, NotBooked, booked_before, lock_account, lock_day, write
from tests.casting.account_days import balance, lot_of

E = AccountEntry.Kind


def test_an_entry_is_written_with_who_when_and_why(day, teacher, school):
    one, other = (lot_of(school, teacher) for _nth in range(2))
    key = uuid.uuid4()
    document = Document(kind=E.COUNT, by=teacher, note="a mix-up of two bags", key=key)
    with transaction.atomic():
        entry = write(lock_account(school.pk), document, [Line(one, other, D("0.0001"))])
    assert (entry.by, entry.note, entry.kind, entry.school) == (teacher, document.note, "count", school)
    assert (balance(one), balance(other)) == (D("499.9999"), D("500.0001"))
    assert booked_before(school, key) == entry and booked_before(school, None) is None


def test_what_is_not_there_is_not_taken(day, teacher, school):
    one, other = (lot_of(school, teacher) for _nth in range(2))
    before = Transfer.objects.count()
    with pytest.raises(NotBooked, match=r"Lot 1: 0\.01"), transaction.atomic():
        write(lock_account(school.pk), Document(kind=E.COUNT, by=teacher), [Line(one, other, D("500.01"))])
    assert Transfer.objects.count() == before and AccountEntry.objects.count() == 2


def test_a_shut_day_is_not_locked_for_booking(day):
    with transaction.atomic():
        assert lock_day(day.pk) == day
    CastingDay.objects.filter(pk=day.pk).update(ended_at="2026-01-01T10:00Z")
    with pytest.raises(NotBooked, match="This casting day is closed"):
        lock_day(day.pk)
