"""Corrections: an entry is taken back by another that moves the same the other way. Nothing is edited."""

from __future__ import annotations

from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext as _

from casting.models import Account, AccountEntry
from casting.selectors.account.balances import balances_of
from casting.services.account.accounts import castings_account, owes, own_account
from casting.services.account.book import Document, Line, NotBooked, lock_account, lock_day, write
from school.models import Person, Student

K, E = Account.Kind, AccountEntry.Kind
STAYS = (E.CORRECTION, E.MERGED)
"""What is not taken back: a correction is made good by booking anew."""
OF_THE_TILL = (E.PAYMENT,)
"""What is taken back on a day that is closed too: money comes after the day."""


@transaction.atomic
def correct(entry: AccountEntry, *, by: Person, note: str = "") -> AccountEntry:
    """Take an entry back by one that moves every gram and cent of it the other way.

    Raises `NotBooked` with a sentence if it is taken back already, its day is shut, or what it moved has gone on.
    """
    if entry.day_id is not None and entry.kind not in OF_THE_TILL:
        lock_day(entry.day_id)
    school = lock_account(entry.school_id)
    rows = AccountEntry.objects.select_related("day__course__school", "student", "corrected_by")
    entry = rows.get(pk=entry.pk)
    if entry.kind in STAYS:
        raise NotBooked(_("A correction is not taken back. Book what is right once more."))
    if hasattr(entry, "corrected_by"):
        raise NotBooked(_("This entry is taken back already."))
    if entry.kind == E.BILL and _is_paid(entry):
        sentence = _("Bill %(number)s is paid. Take the payment back first.")
        raise NotBooked(sentence % {"number": entry.details.get("number", "")})
    ends = [
        f"{side}__{row}" for side in ("from_account", "to_account") for row in ("lot", "alloy", "student__merged_into")
    ]
    lines = [
        Line(_of_now(one.to_account), _of_now(one.from_account), one.amount, one.what, one.wax)
        for one in entry.transfers.select_related("wax", *ends)
    ]
    document = Document(
        kind=E.CORRECTION, by=by, day=entry.day, label=entry.label, student=entry.student, note=note, corrects=entry
    )
    return write(school, document, lines)


def _of_now(account: Account) -> Account:
    """The account, or the like of it to whose name it stands since two students were merged."""
    merged = account.student.merged_into if account.student else None
    return account if merged is None else _of_now(_like(account, merged))


def _is_paid(bill: AccountEntry) -> bool:
    paid = AccountEntry.objects.filter(school=bill.school_id, kind=E.PAYMENT, corrected_by__isnull=True)
    return paid.filter(student=bill.student, details__bill=bill.details.get("number")).exists()


@transaction.atomic
def merge_accounts(giver: Student, taker: Student, *, by: Person) -> dict[str, str]:
    """Move all that stands to a student's name to another's; return the amounts by account, to be undone."""
    school = lock_account(giver.school_id)
    accounts = {one.pk: one for one in Account.objects.filter(student=giver).select_related("alloy")}
    balances = {accounts[key]: balance for key, balance in balances_of(accounts).items() if balance}
    _move(giver, taker, balances, by, school_id=school.pk)
    return {str(account.pk): str(balance) for account, balance in balances.items()}


@transaction.atomic
def undo_merge(giver: Student, taker: Student, moved: dict[str, str], *, by: Person) -> None:
    """Move back what `merge_accounts` moved from `giver` to `taker`."""
    school = lock_account(giver.school_id)
    accounts = {one.pk: one for one in Account.objects.filter(student=giver).select_related("alloy")}
    back = {accounts[int(key)]: -Decimal(amount) for key, amount in moved.items()}
    _move(giver, taker, back, by, school_id=school.pk)


def _move(giver: Student, taker: Student, balances: dict[Account, Decimal], by: Person, school_id: int) -> None:
    """Book amounts from accounts of one student to the like of another; an amount below zero goes the other way."""
    lines = []
    for account, amount in balances.items():
        other = _like(account, taker)
        ends = (account, other) if amount > 0 else (other, account)
        lines.append(Line(*ends, abs(amount), "money" if account.alloy is None else "metal"))
    if lines:
        write(lock_account(school_id), Document(kind=E.MERGED, by=by, student=taker), lines)


def _like(account: Account, student: Student) -> Account:
    if account.alloy is None:
        return owes(student)
    find = own_account if account.kind == K.OWN else castings_account
    return find(student, account.alloy)
