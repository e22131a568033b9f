"""The bills of a day: what was cast for each student, whether it can be charged, what is charged and paid."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.db.models import Sum

from casting.calc.quantities.account.bill import Piece, Prices
from casting.models import AccountEntry, CastingDay, PriceList, Recast
from casting.selectors.account.flasks import booked_flasks, planned_flasks
from school.models import School, Student

E = AccountEntry.Kind


@dataclass(frozen=True, slots=True)
class Payment:
    """A payment of a bill, or of a part of it: its entry and how much it was."""

    entry: AccountEntry
    amount: Decimal


@dataclass(slots=True)
class OpenBill:
    """A student with waxes in flasks of a day: the castings weighed, and the tags that cannot be charged or not yet.

    `of_school` are those that are cast again and the school pays for, `undecided` those that nobody decided about.
    `bill` is the one that is made and not taken back, `payments` what was paid of it.
    """

    student: Student
    pieces: list[Piece] = field(default_factory=list)
    not_weighed: list[str] = field(default_factory=list)
    withdrawn: list[str] = field(default_factory=list)
    of_school: list[str] = field(default_factory=list)
    undecided: list[str] = field(default_factory=list)
    bill: AccountEntry | None = None
    payments: Sequence[Payment] = ()

    @property
    def waits(self) -> bool:
        """Whether only a flask that is not settled keeps it from being charged."""
        return bool(self.not_weighed) and not self.withdrawn


def prices_of(prices: PriceList) -> Prices:
    """Return the values of a price list."""
    return Prices(
        {key: Decimal(price) for key, price in prices.per_gram.items()},
        prices.per_piece,
        prices.own_piece,
        prices.class_fee,
        prices.minimum,
    )


def open_bills(day: CastingDay) -> list[OpenBill]:
    """Return each student of a day with a wax in a flask, by name."""
    booked = booked_flasks(day)
    again = {row.wax_id: row for row in Recast.objects.filter(wax__day=day, fate=Recast.Fate.AGAIN)}
    found: dict[int, OpenBill] = {}
    for flask in planned_flasks(day):
        of_flask = booked.get(flask.label)
        for wax in flask.waxes:
            weight_g = of_flask.cast_g.get(wax.pk, Decimal(0)) if of_flask else Decimal(0)
            one = found.setdefault(wax.student_id, OpenBill(wax.student))
            if flask.lost and (of_flask is None or not of_flask.metal.charge_g):
                continue  # no metal went into it, so that there is nothing to wait for
            if of_flask is None or of_flask.settled is None:
                one.not_weighed.append(wax.tag)
            elif weight_g and wax.withdrawn_at is not None:
                one.withdrawn.append(wax.tag)
            elif weight_g and (row := again.get(wax.pk)) is not None and row.pays != Recast.Pays.STUDENT:
                (one.of_school if row.pays else one.undecided).append(wax.tag)
            elif weight_g:
                one.pieces.append(Piece(wax.tag, flask.alloy.key, weight_g, flask.owner is not None))
    bills, payments = bills_of(day), payments_of(day.course.school, day=day)
    for student_id, bill in bills.items():
        if student_id in found:
            found[student_id].bill = bill
            found[student_id].payments = payments.get(bill.details["number"], ())
    return sorted(found.values(), key=lambda one: (one.student.called.casefold(), one.student.pk))


def bills_of(day: CastingDay) -> dict[int, AccountEntry]:
    """Return the bills of a day that are not taken back, by the student's key, or that of whom they became."""
    rows = AccountEntry.objects.filter(day=day, kind=E.BILL, corrected_by__isnull=True)
    found = {}
    for bill in rows.select_related("student__merged_into", "prices", "by"):
        assert bill.student is not None
        found[bill.student.became.pk] = bill
    return found


def payments_of(school: School, **chosen: Any) -> Mapping[Any, Sequence[Payment]]:
    """Return the payments of a school, of such a day or student, that are not taken back, by the bill's number.

    Those of a bill in the order in which they were booked. One query.
    """
    rows = AccountEntry.objects.filter(school=school, kind=E.PAYMENT, corrected_by__isnull=True, **chosen)
    found: dict[Any, list[Payment]] = {}
    for entry in rows.select_related("by").annotate(booked=Sum("transfers__amount")).order_by("pk"):
        found.setdefault(entry.details["bill"], []).append(Payment(entry, entry.booked))
    return found
