"""A school's year by months and by metals: what was cast, weighed and lost. A few queries, however many days."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db.models import IntegerField, Sum, Value
from django.db.models.functions import TruncMonth

from casting.calc.quantities.account.balance import FlaskMetal
from casting.models import Account, CastingDay, Flask, PieceDefect, Transfer
from casting.selectors.account.flasks import BookedFlask, booked_on
from casting.selectors.looking_back.past_days import days_of, last_plans
from school.models import School

ZERO = Decimal(0)
NO_METAL = FlaskMetal(ZERO)


@dataclass(slots=True)
class Tally:
    """What came of some flasks: those poured, those settled, and of the settled ones the metal and the pieces."""

    poured: int = 0
    settled: int = 0
    pieces: int = 0
    not_cast: int = 0
    metal: FlaskMetal = NO_METAL

    def add(self, booked: BookedFlask | None) -> None:
        """Count a poured flask, with what the account holds of it; what is not settled weighs nothing here."""
        self.poured += 1
        if booked is None or booked.settled is None:
            return
        self.settled += 1
        self.pieces += len(booked.weighed)
        self.not_cast += len(booked.not_cast)
        self.metal = _sum(self.metal, booked.metal)


def _sum(one: FlaskMetal, other: FlaskMetal) -> FlaskMetal:
    names = ("charge_g", "castings_g", "button_g", "sprues_g", "sweeps_g")
    return FlaskMetal(*(getattr(one, name) + getattr(other, name) for name in names))


@dataclass(slots=True)
class Month:
    """A month of a school: its days and flasks, the pieces with a defect, powder [g], metal that came and went [g]."""

    number: int
    days: int = 0
    flasks: Tally = field(default_factory=Tally)
    with_defect: int = 0
    powder_g: float = 0.0
    came_g: Decimal = ZERO
    went_g: Decimal = ZERO


@dataclass(frozen=True, slots=True)
class Year:
    """A year: its twelve months, the same by metal, and the years that have a day."""

    number: int
    months: list[Month]
    metals: dict[str, Tally]
    years: list[int]


def year_of(school: School, number: int) -> Year:
    """Return a year of a school on its own clock; eight queries."""
    zone = school.tz
    first, after = (datetime(year, 1, 1, tzinfo=zone) for year in (number, number + 1))
    listed = days_of(school).order_by("pour_at").select_related("course__school")
    days = {day.pk: day for day in listed.filter(pour_at__gte=first, pour_at__lt=after)}
    months = [Month(nth) for nth in range(1, 13)]
    metals: dict[str, Tally] = defaultdict(Tally)
    for day in days.values():
        months[day.pour_local().month - 1].days += 1
    _add_flasks(days, months, metals)
    defects = PieceDefect.objects.filter(wax__day__in=list(days), taken_back_at=None).order_by()
    for day_id, _wax_id in set(defects.values_list("wax__day", "wax")):
        months[days[day_id].pour_local().month - 1].with_defect += 1
    for month, amount, out in _across_the_door(school, first, after):
        row = months[month.month - 1]
        row.came_g, row.went_g = (row.came_g, row.went_g + amount) if out else (row.came_g + amount, row.went_g)
    years = {day.astimezone(zone).year for day in days_of(school).values_list("pour_at", flat=True).order_by()}
    return Year(number, months, metals, sorted(years))


def _add_flasks(days: dict[int, CastingDay], months: list[Month], metals: dict[str, Tally]) -> None:
    """Count the poured flasks of the days into their months and metals."""
    booked, plans = booked_on(days), last_plans(days)
    rows = Flask.objects.filter(day__in=list(days), state=Flask.State.POURED).order_by()
    poured = set(rows.values_list("day", "label"))
    for key, plan in plans.items():
        month = months[plan.day.pour_local().month - 1]
        for flask in plan.file["flasks"]:
            if (key, flask["label"]) in poured:
                found = booked[key].get(flask["label"])
                month.flasks.add(found)
                metals[flask["alloy"]].add(found)
                month.powder_g += flask["powder_g"]


def _across_the_door(school: School, first: datetime, after: datetime) -> Iterable[tuple[datetime, Decimal, int]]:
    """The metal that came into the school and left it, by month: what its accounts gave and took from outside."""
    came, went = (_side(school, first, after, *one) for one in (("from_account", 0), ("to_account", 1)))
    found: Iterable[tuple[datetime, Decimal, int]] = came.union(went, all=True)
    return found


def _side(school: School, first: datetime, after: datetime, side: str, out: int) -> Any:
    chosen = {f"{side}__kind": Account.Kind.OUTSIDE, "entry__at__gte": first, "entry__at__lt": after}
    chosen_rows = Transfer.objects.filter(entry__school=school, **chosen).order_by()
    rows = chosen_rows.annotate(month=TruncMonth("entry__at", tzinfo=school.tz)).values("month")
    way = Value(out, output_field=IntegerField())
    return rows.annotate(total=Sum("amount"), out=way).values_list("month", "total", "out")
