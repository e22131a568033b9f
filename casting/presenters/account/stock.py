"""The school's stock of metal as its page and its sheet show it: heap by heap, metal by metal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from casting.models import Account, Alloy
from casting.presenters.account.words import where_of
from casting.selectors.account.balances import all_balances
from school.models import School

K = Account.Kind
IN_SAFE = (K.LOT, K.BUTTONS, K.SPRUES, K.SWEEPS)
ORDER = {kind: nth for nth, kind in enumerate((*IN_SAFE, K.OWN))}


@dataclass(frozen=True, slots=True)
class Heap:
    """A lot, a bag of buttons or of sprues, the sweeps, or a student's own metal: what lies there [g]."""

    account: Account
    held_g: Decimal

    @property
    def called(self) -> str:
        """What it is called."""
        return where_of(self.account)

    @property
    def is_own(self) -> bool:
        """Whether it belongs to a student."""
        return self.account.kind == K.OWN


@dataclass(frozen=True, slots=True)
class MetalStock:
    """A metal with its heaps, and what of it was lost in castings so far [g]."""

    alloy: Alloy
    heaps: Sequence[Heap]
    lost_g: Decimal

    @property
    def fresh_g(self) -> Decimal:
        """The fresh metal of the school."""
        return self._of(K.LOT)

    @property
    def reused_g(self) -> Decimal:
        """Its buttons and sprues."""
        return self._of(K.BUTTONS) + self._of(K.SPRUES)

    @property
    def school_g(self) -> Decimal:
        """All that is the school's."""
        return sum((heap.held_g for heap in self.heaps if not heap.is_own), Decimal(0))

    def _of(self, kind: str) -> Decimal:
        return sum((heap.held_g for heap in self.heaps if heap.account.kind == kind), Decimal(0))


def stock_of(school: School) -> list[MetalStock]:
    """Return every metal of which something was ever booked; empty heaps are left out."""
    by_alloy: dict[Alloy, list[tuple[Account, Decimal]]] = {}
    for account, balance in all_balances(school).items():
        if account.alloy is not None:
            by_alloy.setdefault(account.alloy, []).append((account, balance))
    return [_metal(alloy, rows) for alloy, rows in sorted(by_alloy.items(), key=lambda one: one[0].place)]


def _metal(alloy: Alloy, rows: Sequence[tuple[Account, Decimal]]) -> MetalStock:
    heaps = [Heap(account, held) for account, held in rows if account.kind in ORDER and held]
    heaps.sort(key=lambda one: (ORDER[K(one.account.kind)], one.account.melts or 0, one.account.pk))
    return MetalStock(alloy, heaps, sum((held for account, held in rows if account.kind == K.LOSS), Decimal(0)))
