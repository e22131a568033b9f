"""Server time, on the processor, of Kiln room, Pours and the pages that look back, with a year of days in the school.

Each page stands beside a bare one of the same server in the same run.
"""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Iterator
from decimal import Decimal
from statistics import median
from time import process_time

from django.test import Client
from django.urls import reverse

from casting.calc.values.enums import Do, Tick
from casting.models import Account, CastingDay, KilnReading, PieceDefect, Plan, StepRecord, Wax
from casting.selectors.account.flasks import PlannedFlask, planned_flasks
from casting.services.account.flasks import Back, settle, weigh_back, weigh_out
from school.models import Person
from tests.bench.pages import LIMIT_MS, MANY, TIMES, Class, a_class, measured
from tests.casting.account_days import lot_of
from tests.casting.past_days import earlier

DAYS, EVERY_DAYS = 40, 9
READINGS, EVERY_MIN = 30, 25
PAGES = ("kiln_room", "pours", "metal_account", "defects", "waxes", "flasks", "days", "learning", "year")


def a_year(of: Class) -> CastingDay:
    """Forty copies of the class's day over a year, each noted, read and weighed back; return the day under way."""
    person = of.day.plans.first().made_by
    lots: dict[str, Account] = {}
    for nth in range(DAYS):
        past = earlier(of.day, 1 + nth * EVERY_DAYS)
        noted(past)
        for flask in planned_flasks(past):
            key = flask.alloy.key
            lots[key] = lots.get(key) or lot_of(past.course.school, person, key, "40000")
            weigh(past, flask, lots[key], person)
        PieceDefect.objects.bulk_create(
            PieceDefect(wax=wax, kind="rough", where="thin", by=person) for wax in Wax.objects.filter(day=past)[:3]
        )
    noted(of.day)
    return of.day


def weigh(day: CastingDay, flask: PlannedFlask, lot: Account, person: Person) -> None:
    """Weigh a flask out and back: of each casting 95 % as planned, 3 % of sprues, half a gram lost, the rest button."""
    if flask.owner is not None:
        return
    weigh_out(day, flask.label, {lot.pk: flask.charge_g}, by=person)
    castings = {wax.pk: (flask.metal_g[wax.tag] * 95 / 100).quantize(Decimal("0.01")) for wax in flask.waxes}
    sprues = (flask.charge_g * 3 / 100).quantize(Decimal("0.01"))
    button = flask.charge_g - sum(castings.values()) - sprues - Decimal("0.5")
    weigh_back(day, flask.label, Back(castings, button, sprues), by=person)
    settle(day, flask.label, by=person)


def noted(day: CastingDay) -> None:
    """Every step of a day noted, and its kilns read through the night."""
    plan, on = Plan.objects.latest_of(day), day.pour_at - dt.timedelta(hours=13)
    assert plan is not None
    kilns = [firing["kiln"] for firing in plan.file["firings"]]
    steps = [(Do.KILN_ON, kiln, on) for kiln in kilns]
    for nth, flask in enumerate(plan.file["flasks"]):
        for late, do in enumerate((Tick.MELTING, Tick.GAUGE, Tick.OUT, Do.POUR)):
            steps.append((do, flask["label"], day.pour_at + dt.timedelta(minutes=9 * nth + 2 * late)))
    StepRecord.objects.bulk_create(StepRecord(day=day, do=do, what=what, done_at=at) for do, what, at in steps)
    KilnReading.objects.bulk_create(
        KilnReading(day=day, kiln=kiln, at=on + dt.timedelta(minutes=EVERY_MIN * nth), celsius=20 + 24 * nth)
        for kiln in kilns
        for nth in range(READINGS)
    )


def on_processor(client: Client, address: str) -> float:
    """The median processor time of a page [ms]: others on the machine do not count."""
    took = []
    for _nth in range(TIMES):
        began = process_time()
        client.get(address, follow=True)
        took.append((process_time() - began) * 1000)
    return median(took)


def rows(waxes: int = MANY) -> Iterator[tuple[str, str, str]]:
    """(what, figure, against what) of each page."""
    planned = a_class(waxes)
    day = a_year(planned)
    bare_ms = on_processor(planned.teacher, reverse("worker"))
    for name in PAGES:
        given = {} if name in ("days", "learning", "year") else {"day_id": day.pk}
        address = reverse(name, kwargs=given)
        by_clock_ms, queries, size = measured(planned.teacher, address)
        ms = on_processor(planned.teacher, address)
        told = f"{ms / bare_ms:.0f} x the bare page; {by_clock_ms:.0f} ms by the clock, load {os.getloadavg()[0]:.0f}"
        yield (
            f"{name}, {DAYS} days of {waxes} waxes",
            f"{ms:.0f} ms, {queries} queries, {size / 1000:.1f} kB",
            f"{told}; under {LIMIT_MS} ms",
        )
