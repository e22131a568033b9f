"""The one door of the metal account: what is booked at once, held against what there is. Nothing is changed in it."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from casting.models import Account, AccountEntry, CastingDay, PriceList, Transfer, Wax
from casting.models.errors import NotPlanned
from casting.presenters.account.words import where_of
from casting.presenters.formats import units_of, weighed_on
from casting.selectors.account.balances import balances_of
from casting.services.day_shut import refuse_if_shut
from school.models import Person, School, Student


class NotBooked(NotPlanned):
    """Nothing was booked; `sentence` says why and what to do."""


class Doubted(NotBooked):
    """Figures that can be and mostly are not; whoever sees the sentence may book them by `seen`, else nothing is."""

    def __init__(self, sentence: str, seen: str) -> None:
        self.seen = seen
        super().__init__(sentence)


@dataclass(frozen=True, slots=True)
class Line:
    """One transfer to be booked: grams of the accounts' alloy, or money."""

    giver: Account
    taker: Account
    amount: Decimal
    what: str = Transfer.What.METAL
    wax: Wax | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """Why something is booked: its kind, by whom, of which day, flask or student."""

    kind: str
    by: Person | None
    day: CastingDay | None = None
    label: str = ""
    student: Student | None = None
    note: str = ""
    details: dict[str, Any] = field(default_factory=dict)
    prices: PriceList | None = None
    corrects: AccountEntry | None = None
    key: uuid.UUID | None = None


def lock_account(school_id: int) -> School:
    """Return the school's row, locked: whoever books after it sees what was booked before it, on both engines."""
    return School.objects.select_for_update(no_key=True).get(pk=school_id)


def lock_day(day_id: int) -> CastingDay:
    """Lock the account of a day's school, then the day; raise `NotBooked` if the day is shut or a rehearsal."""
    school_id = CastingDay.objects.values_list("course__school", flat=True).get(pk=day_id)
    lock_account(school_id)
    rows = CastingDay.objects.select_for_update(of=("self",)).select_related("course__school")
    day = rows.get(pk=day_id)
    refuse_if_shut(day, NotBooked)
    if day.course.is_rehearsal:
        raise NotBooked(_("A rehearsal moves no metal: its class is invented. Book on a day of your own classes."))
    return day


def booked_before(school: School, key: uuid.UUID | None) -> AccountEntry | None:
    """Return the entry that the same form has booked already; call it with the account locked."""
    return AccountEntry.objects.filter(school=school, key=key).first() if key else None


def write(school: School, document: Document, lines: Sequence[Line]) -> AccountEntry:
    """Write an entry with its transfers, in a transaction in which the account is locked.

    Raises `NotBooked` if metal would be taken where there is not so much; the transaction must then be rolled back.
    """
    fields = {name: getattr(document, name) for name in Document.__dataclass_fields__}
    entry = AccountEntry.objects.create(school=school, **fields)
    made: type[Any] = Transfer  # its amount is a decimal, which no stub knows
    Transfer.objects.bulk_create(
        made(entry=entry, from_account=one.giver, to_account=one.taker, amount=one.amount, what=one.what, wax=one.wax)
        for one in lines
    )
    _refuse_overdrawn(school, {one.giver.pk: one.giver for one in lines})
    return entry


def _refuse_overdrawn(school: School, givers: dict[int, Account]) -> None:
    held = {pk: account for pk, account in givers.items() if account.kind in Account.HOLDING}
    for pk, balance in balances_of(held).items():
        if balance < 0:
            lacking = weighed_on(-balance, units_of(school))
            words = {"lacking": lacking, "where": where_of(held[pk])}
            raise NotBooked(
                _("%(where)s: %(lacking)s less is there than this would take. Weigh again, or look at what was booked.")
                % words
            )
