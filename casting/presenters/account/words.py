"""Words of the metal account: where metal lies, what an entry moved, who booked it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from casting.models import Account, AccountEntry, Transfer
from casting.presenters.formats import money, units_of, weighed_on
from school.models import School


def where_of(account: Account) -> str:
    """Return in words where metal lies."""
    if account.kind == Account.Kind.FLASK:
        return _("Flask %(label)s") % {"label": account.label}
    if account.kind == Account.Kind.LOT and account.lot is not None:
        return _("Lot %(number)d") % {"number": account.lot.number}
    words = str(Account.Kind(account.kind).label).capitalize()
    if account.student is not None:
        return f"{words}, {account.student.called}"
    return words if account.melts is None else f"{words}, {melted(account.melts)}"


def melted(melts: int) -> str:
    """Return how often metal has been melted."""
    return _("melted once") if melts == 1 else _("melted %(melts)d times") % {"melts": melts}


@dataclass(frozen=True, slots=True)
class EntryLine:
    """An entry as a list shows it; `back` is who took it back and when, if it is taken back."""

    entry: AccountEntry
    what: str
    moved: str
    who: str
    at: datetime
    back: AccountEntry | None

    @property
    def may_go_back(self) -> bool:
        """Whether it can be taken back."""
        kinds = AccountEntry.Kind
        return self.back is None and self.entry.kind not in (kinds.CORRECTION, kinds.MERGED)


def entry_lines(entries: Iterable[AccountEntry], school: School) -> list[EntryLine]:
    """Return entries as lines; each comes with its transfers, their waxes, who booked it and what took it back."""
    return [
        EntryLine(
            entry,
            str(AccountEntry.Kind(entry.kind).label).capitalize(),
            ", ".join(_moved(one, school) for one in entry.transfers.all()),
            entry.by.name if entry.by else "",
            entry.at.astimezone(school.tz),
            getattr(entry, "corrected_by", None),
        )
        for entry in entries
    ]


def _moved(transfer: Transfer, school: School) -> str:
    if transfer.what == Transfer.What.MONEY:
        return money(transfer.amount, school)
    weight = weighed_on(transfer.amount, units_of(school))
    named = transfer.wax.tag if transfer.wax else str(Transfer.What(transfer.what).label)
    if transfer.what == Transfer.What.METAL:
        alloy = transfer.to_account.alloy or transfer.from_account.alloy
        named = alloy.called if alloy else named
    return f"{named} {weight}"
