"""What is planned of the flasks of a day, and what the metal account holds of each. Reads only."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.db.models import IntegerField, Q, Sum, Value

from casting.calc.quantities.account.balance import FlaskMetal, fresh_pct, melts_after
from casting.dayfile import read_kept
from casting.models import Account, AccountEntry, Alloy, CastingDay, Flask, Plan, Transfer, Wax
from casting.selectors.mishaps import mishaps_of, not_to_pour
from casting.selectors.mounted import charge_on, mounted_charges, weighed_bases
from school.models import Student

W = Transfer.What
INTO = (W.FRESH, W.REUSED, W.METAL)
"""What goes into a flask; anything else comes out of it."""
ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class PlannedFlask:
    """A flask of the last plan: its metal and whose, what to weigh out [g], its waxes, how far it is on the bench.

    `metal_g` is the metal of each wax with its sprue, by tag, as planned. One that is `lost` is not poured any more.
    """

    label: str
    alloy: Alloy
    owner: Student | None
    charge_g: Decimal
    waxes: tuple[Wax, ...]
    metal_g: Mapping[str, Decimal]
    state: str
    lost: bool = False

    @property
    def on_bench(self) -> bool:
        """Whether it is invested, so that no plan changes it any more."""
        return self.state != Flask.State.PLANNED


def planned_flasks(day: CastingDay) -> list[PlannedFlask]:
    """Return the flasks of the day's last plan in its order; none before the first plan.

    A finished base that was weighed rules the charge.
    """
    plan = Plan.objects.latest_of(day)
    if plan is None:
        return []
    weighed = weighed_bases(day)
    mounted = mounted_charges(plan.file, read_kept(plan.day_file).day, weighed) if weighed else {}
    rows = Wax.objects.filter(day=day).select_related("alloy", "recast", "student__school", "student__course")
    waxes = {wax.tag: wax for wax in rows}
    alloys = {alloy.key: alloy for alloy in Alloy.objects.filter(school=day.course.school_id)}
    states = day.states()
    lost = not_to_pour(mishaps_of(day), states)
    found = []
    for flask in plan.file["flasks"]:
        inside = tuple(waxes[one["key"]] for one in flask["waxes"] if one["key"] in waxes)
        if inside and flask["alloy"] in alloys:
            found.append(
                PlannedFlask(
                    label=flask["label"],
                    alloy=alloys[flask["alloy"]],
                    owner=inside[0].student if inside[0].own_metal else None,
                    charge_g=exact(charge_on(flask, mounted)),
                    waxes=inside,
                    metal_g={one["key"]: exact(one["metal_g"]) for one in flask["waxes"]},
                    state=states.get(flask["label"], Flask.State.PLANNED),
                    lost=flask["label"] in lost,
                )
            )
    return found


def exact(value: float) -> Decimal:
    """Return a number of a plan file as its digits stand there."""
    return Decimal(repr(value))


def planned_flask(day: CastingDay, label: str) -> PlannedFlask | None:
    """Return a flask of the day's last plan."""
    return next((one for one in planned_flasks(day) if one.label == label), None)


@dataclass(slots=True)
class BookedFlask:
    """What the account holds of a flask, corrections taken into account [g].

    `cast_g` is by the key of a wax. `melts` are how often each metal that went in had been melted. `settled` is the
    entry that settled it, and `not_cast` the tags of the waxes that did not come out.
    """

    weights: dict[str, Decimal] = field(default_factory=lambda: defaultdict(lambda: ZERO))
    cast_g: dict[int, Decimal] = field(default_factory=lambda: defaultdict(lambda: ZERO))
    given: dict[Account, Decimal] = field(default_factory=lambda: defaultdict(lambda: ZERO))
    settled: AccountEntry | None = None

    @property
    def metal(self) -> FlaskMetal:
        """The flask's metal; what is settled as lost is still to be seen in it as left."""
        charge_g = sum((self.weights[what] for what in INTO), ZERO)
        return FlaskMetal(
            charge_g, self.weights[W.CASTING], self.weights[W.BUTTON], self.weights[W.SPRUES], self.weights[W.SWEEPS]
        )

    @property
    def left_g(self) -> Decimal:
        """What is still in the flask."""
        return self.metal.left_g - self.weights[W.LOSS]

    @property
    def not_cast(self) -> list[str]:
        """The tags of the waxes that were said not to have come out."""
        return list(self.settled.details.get("not_cast", [])) if self.settled else []

    @property
    def weighed(self) -> set[int]:
        """The keys of the waxes whose castings are weighed."""
        return {wax_id for wax_id, weight_g in self.cast_g.items() if weight_g}

    @property
    def melts(self) -> int:
        """How often its metal has been melted once it is poured."""
        return melts_after(account.melts or 0 for account, weight_g in self.given.items() if weight_g > 0)

    @property
    def fresh_pct(self) -> Decimal:
        """The share of fresh metal."""
        return fresh_pct(self.weights[W.FRESH], self.weights[W.REUSED])

    def add(self, transfer: Transfer, flask_accounts: Iterable[int]) -> None:
        """Count a transfer into the flask or out of it."""
        inward = transfer.to_account_id in flask_accounts
        signed = self.count(transfer.what, transfer.wax_id, transfer.amount, inward=inward)
        if transfer.what in INTO:
            self.given[transfer.from_account if inward else transfer.to_account] += signed

    def count(self, what: str, wax_id: int | None, amount: Decimal, *, inward: bool) -> Decimal:
        """Count an amount that went into the flask or out of it; return it with the sign that it has there."""
        signed = amount if inward is (what in INTO) else -amount
        self.weights[what] += signed
        if wax_id is not None:
            self.cast_g[wax_id] += signed
        return signed


def has_metal(day: CastingDay, label: str) -> bool:
    """Tell whether metal was weighed out for a flask and not taken back."""
    return label in labels_with_metal(day)


def labels_with_metal(day: CastingDay) -> frozenset[str]:
    """Return the labels of the flasks for which metal was weighed out and not taken back. One query."""
    entries = AccountEntry.objects.filter(day=day, kind=AccountEntry.Kind.WEIGH_OUT, corrected_by__isnull=True)
    return frozenset(entries.values_list("label", flat=True))


def booked_flasks(day: CastingDay) -> dict[str, BookedFlask]:
    """Return what the account holds of each flask of a day, by its label; three queries."""
    labels = dict(Account.objects.filter(day=day, kind=Account.Kind.FLASK).values_list("pk", "label"))
    found: dict[str, BookedFlask] = defaultdict(BookedFlask)
    moved = Transfer.objects.filter(Q(from_account__in=labels) | Q(to_account__in=labels))
    for transfer in moved.select_related("from_account__lot", "to_account__lot").order_by("pk"):
        label = labels.get(transfer.to_account_id) or labels[transfer.from_account_id]
        found[label].add(transfer, labels)
    settled = AccountEntry.objects.filter(day=day, kind=AccountEntry.Kind.SETTLED, corrected_by__isnull=True)
    for entry in settled.select_related("by"):
        found[entry.label].settled = entry
    return found


def booked_on(days: Iterable[int]) -> dict[int, dict[str, BookedFlask]]:
    """Return the weights of the flasks of many days, by the day's key and the label; two queries, however many.

    The database sums up what moved, so which metal was given is left out.
    """
    keys = list(days)
    found: dict[int, dict[str, BookedFlask]] = {key: defaultdict(BookedFlask) for key in keys}
    sides = _moved("to_account", keys, 1).union(_moved("from_account", keys, 0), all=True)
    for day, label, what, wax_id, amount, inward in sides:
        found[day][label].count(what, wax_id, amount, inward=bool(inward))
    settled = AccountEntry.objects.filter(day__in=keys, kind=AccountEntry.Kind.SETTLED, corrected_by__isnull=True)
    for entry in settled:
        assert entry.day_id is not None
        found[entry.day_id][entry.label].settled = entry
    return found


def _moved(side: str, days: Sequence[int], inward: int) -> Any:
    """What went through one side of flasks' accounts, summed by day, flask, what it was, and wax."""
    chosen = {f"{side}__kind": Account.Kind.FLASK, f"{side}__day__in": days}
    by = (f"{side}__day", f"{side}__label", "what", "wax")
    rows = Transfer.objects.filter(**chosen).order_by().values(*by)
    way = Value(inward, output_field=IntegerField())
    return rows.annotate(total=Sum("amount"), inward=way).values_list(*by, "total", "inward")
