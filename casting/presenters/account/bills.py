"""Bills as their page, their sheet, their list and a student's phone show them: told as they were made."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import Q
from django.utils.translation import gettext as _

from casting.models import Account, AccountEntry, CastingDay, Transfer
from casting.presenters.formats import money, units_of, weighed_beside
from casting.selectors.account.bills import OpenBill, Payment, bills_of, open_bills, payments_of
from school.csv_file import Cell
from school.models import School, Student


@dataclass(frozen=True, slots=True)
class ShownLine:
    """A line of a bill in words: for which wax, by which rule, the working, and how much."""

    tag: str
    words: str
    working: str
    amount: Decimal


@dataclass(frozen=True, slots=True)
class ShownBill:
    """A bill with its lines, what it comes to, and what was paid of it."""

    entry: AccountEntry
    lines: Sequence[ShownLine]
    total: Decimal
    payments: Sequence[Payment] = ()

    @property
    def paid_so_far(self) -> Decimal:
        """What was paid of it."""
        return sum((one.amount for one in self.payments), Decimal(0))

    @property
    def due(self) -> Decimal:
        """What is still to be paid."""
        return self.total - self.paid_so_far

    @property
    def paid(self) -> AccountEntry | None:
        """The payment with which all of it was paid; None while something is due."""
        return self.payments[-1].entry if self.payments and self.due <= 0 else None

    @property
    def number(self) -> int:
        """Its number."""
        return int(self.entry.details["number"])

    @property
    def version(self) -> int:
        """The version of the price list that it was made by."""
        return self.entry.prices.version if self.entry.prices else 0


@dataclass(frozen=True, slots=True)
class StudentLine:
    """A student of a day: what is weighed, what is not yet, and the bill."""

    of_day: OpenBill
    bill: ShownBill | None

    @property
    def student(self) -> Student:
        """The student."""
        return self.of_day.student

    @property
    def weight_g(self) -> Decimal:
        """All that was cast for the student."""
        return sum((piece.weight_g for piece in self.of_day.pieces), Decimal(0))


def shown(bill: AccountEntry, payments: Sequence[Payment], school: School) -> ShownBill:
    """Return a bill in words, from what it keeps of the day it was made."""
    lines = [_line(line, school) for line in bill.details["lines"]]
    return ShownBill(bill, lines, sum((line.amount for line in lines), Decimal(0)), payments)


def _line(line: Mapping[str, Any], school: School) -> ShownLine:
    words, working = str(Account.Part(line["part"]).label), ""
    if "weight_g" in line:
        weight, price = weighed_beside(Decimal(line["weight_g"]), units_of(school)), Decimal(line["price"])
        # A price of a gram may have more places than a coin.
        told = money(price, school) if price == price.quantize(Decimal("0.01")) else f"{price.normalize():f}"
        working = _("%(weight)s at %(price)s a gram") % {"weight": weight, "price": told}
    return ShownLine(line.get("tag", ""), words, working, Decimal(line["amount"]))


def student_lines(day: CastingDay) -> list[StudentLine]:
    """Return every student of a day with a wax in a flask, by name."""
    school = day.course.school
    return [
        StudentLine(one, shown(one.bill, one.payments, school) if one.bill is not None else None)
        for one in open_bills(day)
    ]


def bills_in_order(day: CastingDay) -> list[ShownBill]:
    """Return the bills of a day that are not taken back, by their numbers."""
    school, payments = day.course.school, payments_of(day.course.school, day=day)
    bills = sorted(bills_of(day).values(), key=lambda bill: int(bill.details["number"]))
    return [shown(bill, payments.get(bill.details["number"], ()), school) for bill in bills]


def bills_table(day: CastingDay) -> tuple[Sequence[str], list[Sequence[Cell]]]:
    """Return the lines of the day's bills for a spreadsheet."""
    header = [
        _("Bill"), _("Student"), _("Tag"), _("For"), _("Weight [g]"), _("Price of a gram"), _("Amount"), _("Currency"),
        _("Prices, version"), _("Made"), _("Paid"), _("Paid of this bill so far"),
    ]  # fmt: skip
    school = day.course.school
    return header, [row for bill in bills_in_order(day) for row in _rows(bill, school)]


def _rows(bill: ShownBill, school: School) -> Iterable[Sequence[Cell]]:
    student = bill.entry.student
    for line, kept in zip(bill.lines, bill.entry.details["lines"], strict=True):
        yield [
            bill.number,
            student.called if student else "",
            line.tag,
            line.words,
            Decimal(kept["weight_g"]) if "weight_g" in kept else None,
            Decimal(kept["price"]) if "price" in kept else None,
            line.amount,
            school.currency,
            bill.version,
            bill.entry.at.astimezone(school.tz),
            bill.paid.at.astimezone(school.tz) if bill.paid else _("no"),
            bill.paid_so_far,
        ]


@dataclass(frozen=True, slots=True)
class OwnAccount:
    """What a student is told of the account: the weight of each casting by the wax's key, and the bill of each day."""

    cast_g: Mapping[int, Decimal]
    bills: Mapping[int, ShownBill]


NOTHING_BOOKED = OwnAccount({}, {})


def own_account(student: Student, days: Iterable[CastingDay]) -> OwnAccount:
    """Return what was cast and charged for a student on days: two queries, and one for what was paid of a bill."""
    keys, school = [day.pk for day in days], student.school
    if not keys:
        return NOTHING_BOOKED
    cast: dict[int, Decimal] = {}
    moved = Transfer.objects.filter(wax__student=student, entry__day__in=keys, what=Transfer.What.CASTING)
    for wax_id, amount, from_flask in moved.values_list("wax", "amount", "from_account__label"):
        cast[wax_id] = cast.get(wax_id, Decimal(0)) + (amount if from_flask else -amount)
    rows = AccountEntry.objects.filter(day__in=keys, kind=AccountEntry.Kind.BILL, corrected_by__isnull=True)
    of_student = Q(student=student) | Q(student__merged_into=student)
    made = list(rows.filter(of_student).select_related("prices"))
    payments, bills = payments_of(school, day__in=keys) if made else {}, {}
    for bill in made:
        assert bill.day_id is not None
        bills[bill.day_id] = shown(bill, payments.get(bill.details["number"], ()), school)
    return OwnAccount({key: weight_g for key, weight_g in cast.items() if weight_g}, bills)
