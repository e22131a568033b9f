"""The metal account of a day: each flask with what is planned, weighed out and back; what metal is to be bought."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from casting.calc.quantities.account.balance import loss_most_pct, melts_most
from casting.calc.quantities.account.buying import ToBuy, to_buy
from casting.dayfile.rules_file import rulebook
from casting.models import Account, Alloy, CastingDay, Wax
from casting.selectors.account.balances import balances_of
from casting.selectors.account.flasks import BookedFlask, PlannedFlask, booked_flasks, planned_flasks
from school.models import School

K = Account.Kind
REUSABLE = (K.BUTTONS, K.SPRUES)


@dataclass(frozen=True, slots=True)
class FlaskLine:
    """A flask as planned and as the account has it."""

    planned: PlannedFlask
    booked: BookedFlask

    @property
    def state(self) -> str:
        """The next step: invest, weigh_out, weigh_back; or settled, or lost before it was poured."""
        if self.booked.settled is not None:
            return "settled"
        if self.planned.lost:
            return "lost"
        if self.booked.metal.charge_g > 0:
            return "weigh_back"
        return "weigh_out" if self.planned.on_bench else "invest"

    @property
    def castings(self) -> list[tuple[Wax, Decimal, bool]]:
        """Each wax with what its casting weighs, and whether it was said not to have come out."""
        gone = self.booked.not_cast
        return [(wax, self.booked.cast_g.get(wax.pk, Decimal(0)), wax.tag in gone) for wax in self.planned.waxes]

    @property
    def to_weigh(self) -> list[Wax]:
        """The waxes whose castings are not weighed."""
        return [wax for wax in self.planned.waxes if wax.pk not in self.booked.weighed]

    @property
    def fresh_least_g(self) -> Decimal:
        """The fresh metal that the charge takes at least, as on the weigh-out list."""
        return self.planned.charge_g * Decimal(str(rulebook().limit("fresh_least_pct"))) / 100

    @property
    def loss_most_pct(self) -> Decimal:
        """The loss above which the metal is looked for."""
        return loss_most_pct(self.planned.alloy.composition_pct or {}, rulebook())

    @property
    def loss_most_g(self) -> Decimal:
        """The same of what was weighed out."""
        return self.booked.metal.charge_g * self.loss_most_pct / 100


def flask_lines(day: CastingDay) -> list[FlaskLine]:
    """Return the flasks of the day's last plan with what the account has of each."""
    booked = booked_flasks(day)
    return [FlaskLine(flask, booked.get(flask.label) or BookedFlask()) for flask in planned_flasks(day)]


def stock_for(flask: PlannedFlask, school: School) -> dict[Account, Decimal]:
    """Return the heaps that may go into a flask with what lies there, empty ones too: lots, then buttons and sprues.

    A flask of own metal takes its owner's alone; metal that was melted too often is left out.
    """
    accounts = Account.objects.filter(school=school, alloy=flask.alloy).select_related("alloy", "lot", "student")
    if flask.owner is not None:
        accounts = accounts.filter(kind=K.OWN, student=flask.owner)
    else:
        accounts = accounts.filter(kind__in=(K.LOT, *REUSABLE))
    most, rows = melts_most(flask.alloy.composition_pct or {}, rulebook()), list(accounts)
    held = balances_of([one.pk for one in rows])
    order = {K.LOT: 0, K.OWN: 0, K.BUTTONS: 1, K.SPRUES: 2}
    rows.sort(key=lambda one: (order[K(one.kind)], one.melts or 0, one.pk))
    return {one: held[one.pk] for one in rows if (one.melts or 0) <= most}


@dataclass(frozen=True, slots=True)
class BuyLine:
    """A metal of a day with what to buy of it, and what that costs by the shelf's price."""

    alloy: Alloy
    buy: ToBuy

    @property
    def cost(self) -> Decimal | None:
        """What it costs; None if nobody recorded a price."""
        price = self.alloy.price_per_g
        return None if price is None else self.buy.buy_g * Decimal(repr(price))


def buy_list(lines: Sequence[FlaskLine], balances: Mapping[Account, Decimal]) -> list[BuyLine]:
    """Return what to buy for the flasks that are not weighed out yet, metal by metal; own metal is not bought."""
    wanted: dict[Alloy, list[Decimal]] = {}
    for line in lines:
        if line.planned.owner is None and line.state in ("invest", "weigh_out"):
            wanted.setdefault(line.planned.alloy, []).append(line.planned.charge_g)
    found = []
    for alloy, charges in wanted.items():
        composition = alloy.composition_pct or {}
        most = melts_most(composition, rulebook())
        fresh = reused = Decimal(0)
        for account, held_g in balances.items():
            if account.alloy_id == alloy.pk and account.kind == K.LOT:
                fresh += held_g
            elif account.alloy_id == alloy.pk and account.kind in REUSABLE and (account.melts or 0) <= most:
                reused += held_g
        least = Decimal(str(rulebook().limit("fresh_least_pct")))
        buy = to_buy(charges, loss_most_pct(composition, rulebook()), fresh, reused, least)
        found.append(BuyLine(alloy, buy))
    return found
