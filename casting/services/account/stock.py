"""The stock of metal: lots bought, students' own metal brought and handed back, sweeps sent away, stock counted."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext as _

from casting.models import Account, AccountEntry, Alloy, Lot, Transfer
from casting.presenters.account.words import where_of
from casting.presenters.formats import units_of, weighed_on
from casting.selectors.account.balances import balances_of
from casting.services.account.accounts import lot_account, metal_account, money, own_account
from casting.services.account.book import Document, Line, NotBooked, booked_before, lock_account, write
from school.models import Person, School, Student

K, E = Account.Kind, AccountEntry.Kind
HEAVIEST_G = Decimal(50_000)
"""A school buys no more at once: a higher figure is a slip."""
COUNTED = (K.LOT, K.BUTTONS, K.SPRUES, K.SWEEPS, K.OWN)
"""What lies in the safe and can be counted."""
SENT = (K.LOT, K.BUTTONS, K.SPRUES, K.SWEEPS)
"""What can be sent to a refiner."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LotEntry:
    """A lot as it is typed: its metal [g], what it cost together, its papers."""

    alloy: Alloy
    weight_g: Decimal
    bought_on: dt.date
    price: Decimal | None = None
    supplier: str = ""
    certificate: str = ""


@transaction.atomic
def buy_lot(school: School, entry: LotEntry, *, by: Person, note: str = "", key: uuid.UUID | None = None) -> Lot:
    """Book a lot of fresh metal, and what was paid for it if that is known. Raises `NotBooked` with a sentence."""
    school = lock_account(school.pk)
    if before := booked_before(school, key):
        return school.lots.get(number=before.details["lot"])
    _refuse_weight(entry.weight_g, school)
    _refuse_alloy(entry.alloy, school)
    lot = Lot.objects.create(
        school=school,
        number=school.lots.count() + 1,
        **{name: getattr(entry, name) for name in LotEntry.__dataclass_fields__},
    )
    lines = [Line(metal_account(school, K.OUTSIDE, lot.alloy), lot_account(lot), lot.weight_g)]
    if lot.price:
        lines.append(Line(money(school, K.TILL), money(school, K.PURCHASES), lot.price, Transfer.What.MONEY))
    write(school, Document(kind=E.LOT, by=by, note=note, key=key, details={"lot": lot.number}), lines)
    return lot


@transaction.atomic
def bring_own(
    student: Student, alloy: Alloy, weight_g: Decimal, *, by: Person, note: str = "", key: uuid.UUID | None = None
) -> AccountEntry:
    """Book own metal that a student brings. Raises `NotBooked` with a sentence."""
    return _own(student, alloy, weight_g, E.OWN_IN, by, note, key)


@transaction.atomic
def hand_back_own(
    student: Student, alloy: Alloy, weight_g: Decimal, *, by: Person, note: str = "", key: uuid.UUID | None = None
) -> AccountEntry:
    """Book own metal that a student takes home again. Raises `NotBooked`, also if there is not so much of it."""
    return _own(student, alloy, weight_g, E.OWN_OUT, by, note, key)


def _own(
    student: Student, alloy: Alloy, weight_g: Decimal, kind: str, by: Person, note: str, key: uuid.UUID | None
) -> AccountEntry:
    school = lock_account(student.school_id)
    if before := booked_before(school, key):
        return before
    _refuse_weight(weight_g, school)
    _refuse_alloy(alloy, school)
    ends = metal_account(school, K.OUTSIDE, alloy), own_account(student, alloy)
    giver, taker = ends if kind == E.OWN_IN else ends[::-1]
    return write(
        school, Document(kind=kind, by=by, student=student, note=note, key=key), [Line(giver, taker, weight_g)]
    )


@transaction.atomic
def send_away(
    school: School, account_id: int, weight_g: Decimal, *, by: Person, note: str = "", key: uuid.UUID | None = None
) -> AccountEntry:
    """Book metal that leaves the school's stock for a refiner. Raises `NotBooked` with a sentence."""
    school = lock_account(school.pk)
    if before := booked_before(school, key):
        return before
    account = _of_stock(school, account_id, SENT)
    _refuse_weight(weight_g, school)
    assert account.alloy is not None
    lines = [Line(account, metal_account(school, K.OUTSIDE, account.alloy), weight_g)]
    return write(school, Document(kind=E.SENT, by=by, note=note, key=key), lines)


@transaction.atomic
def count(
    school: School, account_id: int, counted_g: Decimal, *, by: Person, note: str = "", key: uuid.UUID | None = None
) -> AccountEntry:
    """Book the difference between what is weighed in the safe and what the account says. Raises `NotBooked`."""
    school = lock_account(school.pk)
    if before := booked_before(school, key):
        return before
    account = _of_stock(school, account_id, COUNTED)
    assert account.alloy is not None
    more_g = counted_g - balances_of([account.pk])[account.pk]
    if more_g == 0:
        sentence = _("%(where)s: %(weight)s is what the account says too. There is nothing to book.")
        raise NotBooked(sentence % {"where": where_of(account), "weight": weighed_on(counted_g, units_of(school))})
    found = metal_account(school, K.COUNT, account.alloy)
    giver, taker = (found, account) if more_g > 0 else (account, found)
    return write(school, Document(kind=E.COUNT, by=by, note=note, key=key), [Line(giver, taker, abs(more_g))])


def _of_stock(school: School, account_id: int, kinds: tuple[str, ...]) -> Account:
    rows = Account.objects.filter(school=school, pk=account_id, kind__in=kinds)
    account: Account | None = rows.select_related("alloy", "lot", "student").first()
    if account is None:
        raise NotBooked(_("This metal is not in the stock of your school. Open the page again."))
    return account


def _refuse_weight(weight_g: Decimal, school: School) -> None:
    if not 0 < weight_g <= HEAVIEST_G:
        words = {"weight": weighed_on(weight_g, units_of(school)), "most": weighed_on(HEAVIEST_G, units_of(school))}
        sentence = _("%(weight)s is entered, and it must be more than nothing and at most %(most)s. Weigh it again.")
        raise NotBooked(sentence % words)


def _refuse_alloy(alloy: Alloy, school: School) -> None:
    if alloy.school_id != school.pk:
        raise NotBooked(_("Choose a metal of your school."))
