"""The accounts of a school, each made when metal or money first goes there. Call them with the account locked."""

from __future__ import annotations

from typing import Any

from casting.models import Account, Alloy, CastingDay, Lot
from school.models import School, Student

K = Account.Kind


def lot_account(lot: Lot) -> Account:
    """Return the account of a lot of fresh metal."""
    return _account(lot.school, K.LOT, lot=lot, alloy=lot.alloy)


def pile(school: School, kind: str, alloy: Alloy, melts: int) -> Account:
    """Return the account of buttons or sprues of an alloy that were melted so often."""
    return _account(school, kind, alloy=alloy, melts=melts)


def flask_account(day: CastingDay, label: str, alloy: Alloy) -> Account:
    """Return the account of a flask of a day."""
    return _account(day.course.school, K.FLASK, day=day, label=label, alloy=alloy)


def own_account(student: Student, alloy: Alloy) -> Account:
    """Return the account of a student's own metal."""
    return _account(student.school, K.OWN, student=student, alloy=alloy)


def castings_account(student: Student, alloy: Alloy) -> Account:
    """Return the account of what was cast for a student."""
    return _account(student.school, K.CASTINGS, student=student, alloy=alloy)


def metal_account(school: School, kind: str, alloy: Alloy) -> Account:
    """Return the one account of that kind and alloy: outside, sweeps, loss, or the difference of a count."""
    return _account(school, kind, alloy=alloy)


def owes(student: Student) -> Account:
    """Return the account of what a student has to pay."""
    return _account(student.school, K.OWES, student=student)


def money(school: School, kind: str, part: str = "") -> Account:
    """Return the account of charges by a price rule, of money paid, or of metal bought."""
    return _account(school, kind, part=part)


def _account(school: School, kind: str, **which: Any) -> Account:
    account, _made = Account.objects.get_or_create(school=school, kind=kind, **which)
    return account
