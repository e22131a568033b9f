"""What students pay: price lists, each a version of its own; bills from what the castings weigh; payments."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext as _

from casting.calc.quantities.account.bill import BillLine, NoPrice, Prices, bill_lines
from casting.models import Account, AccountEntry, Alloy, CastingDay, PriceList, Transfer
from casting.presenters.formats import money as said
from casting.selectors.account.bills import OpenBill, open_bills, payments_of, prices_of
from casting.services.account.accounts import money, owes
from casting.services.account.book import Document, Line, NotBooked, booked_before, lock_account, lock_day, write
from school.models import Person, School, Student

K, E, W = Account.Kind, AccountEntry.Kind, Transfer.What


@transaction.atomic
def keep_prices(school: School, prices: Prices, *, by: Person, version: int) -> PriceList:
    """Keep a new version of the price list, or return the last one if nothing is changed; no bill changes by it.

    `version` is the one that `by` looked at, 0 before the first. Raises `NotBooked` if another was kept meanwhile.
    """
    school = lock_account(school.pk)
    last = school.price_lists.first()
    now = last.version if last else 0
    if version != now:
        raise NotBooked(_("Somebody else has kept other prices meanwhile. Look at them, then write yours again."))
    if last is not None and prices_of(last) == prices:
        return last
    fields = {name: getattr(prices, name) for name in ("per_piece", "own_piece", "class_fee", "minimum")}
    per_gram = {key: f"{price.normalize():f}" for key, price in sorted(prices.per_gram.items())}
    return PriceList.objects.create(school=school, version=now + 1, per_gram=per_gram, by=by, **fields)


@transaction.atomic
def make_bill(day: CastingDay, student: Student, *, by: Person, note: str = "") -> AccountEntry:
    """Make the bill of a student for a day from what the castings weigh, by the price list of now.

    Raises `NotBooked` with a sentence if there is a bill already, a casting is not weighed, a wax is withdrawn, there
    are no prices or one is missing, or nothing was cast.
    """
    day = lock_day(day.pk)
    found = next((one for one in open_bills(day) if one.student.pk == student.pk), None)
    words = {"name": student.called}
    if found is None:
        raise NotBooked(_("Nothing was cast for %(name)s on this day, so there is nothing to charge.") % words)
    _refuse_bill(found)
    prices = day.course.school.price_lists.first()
    if prices is None:
        raise NotBooked(_("No prices are kept yet. Write them on the page Prices first."))
    return _book_bill(day, found, prices, by, note)


def _refuse_bill(found: OpenBill) -> None:
    """Refuse what cannot be charged, or not yet."""
    words = {"name": found.student.called, "tags": ", ".join(found.withdrawn or found.not_weighed)}
    if found.bill is not None:
        sentence = _("%(name)s has bill %(number)s for this day. Take it back first, then make another.")
        raise NotBooked(sentence % (words | {"number": found.bill.details["number"]}))
    if found.withdrawn:
        sentence = _("%(tags)s of %(name)s is withdrawn: nobody is charged for it. Give it back first, or correct it.")
        raise NotBooked(sentence % words)
    if found.not_weighed:
        sentence = _("Not settled yet for %(name)s: %(tags)s. Weigh the flask back and settle it first.")
        raise NotBooked(sentence % words)
    if found.undecided:
        sentence = _(
            "Nobody has decided who pays for the first casting of %(tags)s, of %(name)s. Decide it on the page Recast "
            "list first."
        )
        raise NotBooked(sentence % (words | {"tags": ", ".join(found.undecided)}))
    if not found.pieces:
        sentence = _("Nothing came out for %(name)s on this day, so there is nothing to charge.")
        raise NotBooked(sentence % words)


def _book_bill(day: CastingDay, found: OpenBill, prices: PriceList, by: Person, note: str) -> AccountEntry:
    school = day.course.school
    try:
        lines = bill_lines(found.pieces, prices_of(prices))
    except NoPrice as missing:
        alloy = Alloy.objects.filter(school=school, key=missing.alloy).first()
        sentence = _("A gram of %(metal)s has no price. Write it on the page Prices first, 0 if it costs nothing.")
        raise NotBooked(sentence % {"metal": alloy.called if alloy else missing.alloy}) from missing
    number = AccountEntry.objects.filter(school=school, kind=E.BILL).count() + 1
    taker = owes(found.student)
    parts: dict[str, Decimal] = {}
    for line in lines:
        parts[line.part] = parts.get(line.part, Decimal(0)) + line.amount
    booked = [Line(money(school, K.SALES, part), taker, amount, W.MONEY) for part, amount in parts.items()]
    details = {"number": number, "lines": [_kept(line) for line in lines], "pieces": _pieces(found)}
    document = Document(kind=E.BILL, by=by, day=day, student=found.student, note=note, details=details, prices=prices)
    return write(school, document, booked)


def _kept(line: BillLine) -> dict[str, str]:
    """A line as the entry keeps it: every figure as text, so that no digit is lost."""
    kept = {"part": str(line.part), "amount": f"{line.amount:f}"}
    if line.tag:
        kept["tag"] = line.tag
    if line.weight_g is not None and line.price is not None:
        kept |= {"weight_g": f"{line.weight_g.normalize():f}", "price": f"{line.price.normalize():f}"}
    return kept


def _pieces(found: OpenBill) -> list[dict[str, str]]:
    return [{"tag": one.tag, "alloy": one.alloy, "weight_g": f"{one.weight_g.normalize():f}"} for one in found.pieces]


@dataclass(frozen=True, slots=True)
class Made:
    """Bills that were made at once, who waits for a flask, and why there is none of the others, by the name."""

    bills: Sequence[AccountEntry]
    waiting: Sequence[str]
    refused: Mapping[str, str]


def make_bills(day: CastingDay, *, by: Person) -> Made:
    """Make the bill of every student of a day who has none yet; one that cannot be made keeps no other from it."""
    bills, waiting, refused = [], [], {}
    for found in open_bills(day):
        if found.bill is None and found.waits:
            waiting.append(found.student.called)
        elif found.bill is None:
            try:
                bills.append(make_bill(day, found.student, by=by))
            except NotBooked as refusal:
                refused[found.student.called] = refusal.sentence
    return Made(bills, waiting, refused)


@transaction.atomic
def pay(
    bill: AccountEntry, amount: Decimal | None = None, *, by: Person, note: str = "", key: uuid.UUID | None = None
) -> AccountEntry:
    """Book a payment of a bill: all that is due, or that amount of it.

    Raises `NotBooked` with a sentence if it is paid or taken back already, or the amount is nothing or more than due.
    """
    school = lock_account(bill.school_id)
    if before := booked_before(school, key):
        return before
    bill = AccountEntry.objects.select_related("student", "day", "corrected_by").get(pk=bill.pk, kind=E.BILL)
    number = bill.details["number"]
    if hasattr(bill, "corrected_by"):
        raise NotBooked(_("Bill %(number)s is taken back: there is nothing to pay.") % {"number": number})
    total = sum((one.amount for one in bill.transfers.all()), Decimal(0))
    student = bill.student
    assert student is not None
    if not total:
        raise NotBooked(_("Bill %(number)s comes to %(total)s.") % {"number": number, "total": said(total, school)})
    paid = payments_of(school, details__bill=number).get(number, ())
    due = total - sum((one.amount for one in paid), Decimal(0))
    if not due:
        raise NotBooked(_("Bill %(number)s is paid already.") % {"number": number})
    if amount is not None and not 0 < amount <= due:
        words = {"number": number, "amount": said(amount, school), "due": said(due, school)}
        sentence = _(
            "%(amount)s is entered; %(due)s of bill %(number)s is still due. Nothing is booked. Write an amount over 0 "
            "and up to %(due)s."
        )
        raise NotBooked(sentence % words)
    payer = student.became
    lines = [Line(owes(payer), money(school, K.TILL), due if amount is None else amount, W.MONEY)]
    document = Document(
        kind=E.PAYMENT, by=by, day=bill.day, student=payer, note=note, key=key, details={"bill": number}
    )
    return write(school, document, lines)
