"""Corrections: an entry is taken back by another that moves the same the other way. Nothing is edited."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from casting.models import Account, AccountEntry, CastingDay, Transfer
from casting.presenters.formats import day_date
from casting.selectors.account.balances import balances_of
from casting.selectors.account.bills import bills_of, payments_of
from casting.selectors.account.flasks import planned_flask
from casting.services.account.accounts import castings_account, owes, own_account
from casting.services.account.book import Document, Line, NotBooked, lock_account, lock_day, write
from school.models import Person, School, Student

K, E, W = Account.Kind, AccountEntry.Kind, Transfer.What
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
    _refuse_gone_on(entry)
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
    student = account.student
    return account if student is None or student.became == student else _like(account, student.became)


def _refuse_gone_on(entry: AccountEntry) -> None:
    """Refuse to take back what another entry was made from: the latest goes back first."""
    words: dict[str, Any] = {"label": entry.label, "number": entry.details.get("number")}
    if entry.kind == E.BILL and payments_of(entry.school, details__bill=words["number"]):
        raise NotBooked(_("Bill %(number)s is paid. Take the payment back first.") % words)
    settled = AccountEntry.objects.filter(day=entry.day, label=entry.label, kind=E.SETTLED, corrected_by__isnull=True)
    if entry.kind == E.WEIGH_BACK and settled.exists():
        raise NotBooked(_("Flask %(label)s is settled. Take the settling back first.") % words)
    if entry.kind == E.SETTLED and (number := _charged_in(entry)):
        sentence = _("Bill %(number)s charges a casting of flask %(label)s. Take the bill back first.")
        raise NotBooked(sentence % (words | {"number": number}))


def _charged_in(settled: AccountEntry) -> int | None:
    """The number of a bill that charges a casting of a flask; None if none does."""
    assert settled.day is not None
    flask = planned_flask(settled.day, settled.label)
    tags = {wax.tag for wax in flask.waxes} if flask else set()
    for bill in bills_of(settled.day).values():
        if tags & {piece["tag"] for piece in bill.details["pieces"]}:
            return int(bill.details["number"])
    return None


@transaction.atomic
def merge_accounts(giver: Student, taker: Student, *, by: Person) -> dict[str, str]:
    """Move all that stands to a student's name to another's; return the amounts by account, to be undone.

    Raises `NotBooked` with a sentence if both have a bill for the same day.
    """
    school = lock_account(giver.school_id)
    _refuse_two_bills(giver, taker)
    accounts = _accounts_of(giver)
    balances = {accounts[key]: balance for key, balance in balances_of(accounts).items() if balance}
    _move(school, taker, balances, by)
    return {str(account.pk): str(balance) for account, balance in balances.items()}


@transaction.atomic
def undo_merge(giver: Student, taker: Student, moved: dict[str, str], *, by: Person) -> None:
    """Move back what `merge_accounts` moved from `giver` to `taker`."""
    school, accounts = lock_account(giver.school_id), _accounts_of(giver)
    _move(school, taker, {accounts[int(key)]: -Decimal(amount) for key, amount in moved.items()}, by)


def _accounts_of(student: Student) -> dict[int, Account]:
    return {one.pk: one for one in Account.objects.filter(student=student).select_related("alloy")}


def _refuse_two_bills(giver: Student, taker: Student) -> None:
    """Refuse a merge of two who both have a bill for a day: a class fee would be charged twice."""
    billed = AccountEntry.objects.filter(kind=E.BILL, corrected_by__isnull=True, day__course=giver.course_id)
    for day in CastingDay.objects.filter(pk__in=billed.values("day")).select_related("course__school"):
        if {giver.pk, taker.pk} <= bills_of(day).keys():
            words = {"name": giver.called, "other": taker.called, "date": day_date(day.pour_local())}
            sentence = _("%(name)s and %(other)s each have a bill for %(date)s. Take one of the two back first.")
            raise NotBooked(sentence % words)


def _move(school: School, taker: Student, balances: dict[Account, Decimal], by: Person) -> None:
    """Book amounts from accounts of a student to the like of another; an amount below zero goes the other way."""
    lines = []
    for account, amount in balances.items():
        other = _like(account, taker)
        ends = (account, other) if amount > 0 else (other, account)
        lines.append(Line(*ends, abs(amount), W.METAL if account.is_metal else W.MONEY))
    if lines:
        write(school, Document(kind=E.MERGED, by=by, student=taker), lines)


def _like(account: Account, student: Student) -> Account:
    if account.alloy is None:
        return owes(student)
    find = own_account if account.kind == K.OWN else castings_account
    return find(student, account.alloy)
