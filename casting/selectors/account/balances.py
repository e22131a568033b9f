"""Balances of the metal account: what went in less what went out, summed by the database in whole numbers.

Both sides are read by one statement, so that nobody's booking falls between them.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django.db.models import IntegerField, Q, QuerySet, Sum, Value

from casting.models import Account, Alloy, Transfer
from school.models import School, Student

ZERO = Decimal(0)


def _both_sides(into: dict[str, Any], out: dict[str, Any], column: str = "") -> dict[Any, Decimal]:
    """What went into each account, or each column of it, less what went out."""
    found: dict[Any, Decimal] = {}
    rows = _side("to_account", column, into, 1).union(_side("from_account", column, out, -1), all=True)
    for key, amount, sign in rows:
        found[key] = found.get(key, ZERO) + sign * amount
    return found


def _side(side: str, column: str, chosen: dict[str, Any], sign: int) -> Any:
    rows = Transfer.objects.filter(**chosen).order_by().values(f"{side}{column}")
    signed = Value(sign, output_field=IntegerField())
    return rows.annotate(total=Sum("amount"), sign=signed).values_list(f"{side}{column}", "total", "sign")


def balances_of(accounts: Iterable[int]) -> dict[int, Decimal]:
    """Return the balance of each of these accounts by its key, in grams or in money; one query."""
    keys = list(accounts)
    found = _both_sides({"to_account__in": keys}, {"from_account__in": keys}) if keys else {}
    return dict.fromkeys(keys, ZERO) | found


def all_balances(school: School) -> dict[Account, Decimal]:
    """Return the balance of every account of a school; two queries."""
    rows = Account.objects.filter(school=school).select_related("alloy", "lot", "student", "day")
    accounts = {account.pk: account for account in rows}
    of_school = {"entry__school": school}
    found = _both_sides(of_school, of_school)
    return {account: found.get(key, ZERO) for key, account in accounts.items()}


def metals_of(school: School) -> QuerySet[Alloy]:
    """Return the metals that a school works with, and those it has booked anything of, in its order."""
    booked = Account.objects.filter(school=school, alloy__isnull=False)
    return Alloy.objects.filter(Q(offered=True) | Q(pk__in=booked.values("alloy")), school=school)


def owners_of(school: School) -> QuerySet[Student]:
    """Return whose own metal is taken or handed back: those in a class, and those who left and brought metal before."""
    brought = Account.objects.filter(school=school, kind=Account.Kind.OWN).values("student")
    rows = Student.objects.filter(school=school, course__is_rehearsal=False, merged_into=None)
    return rows.filter(Q(removed_at=None) | Q(pk__in=brought))


def sums(school: School) -> dict[int | None, Decimal]:
    """Return the sum over all accounts of each alloy by its key, and of money by None: zero at any time; one query."""
    of_school = {"entry__school": school}
    return _both_sides(of_school, of_school, "__alloy")
