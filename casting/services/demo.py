"""The invented class of the demo: its casting day, its students with their waxes, a plan of the day, and its metal."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from contextlib import suppress
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from django.contrib.auth.hashers import make_password
from django.db import transaction

from casting.calc.quantities.account.bill import Prices
from casting.models import Alloy, CastingDay, Flask, HouseRules, Kiln, PatternMaterial, Plan, SafetyRecord, Search
from casting.models.errors import NotPlanned
from casting.models.wax_entry import WaxEntry
from casting.selectors.flasks import flask_contents
from casting.services.account.bills import keep_prices
from casting.services.account.stock import LotEntry, buy_lot
from casting.services.days import DayEntry, announce
from casting.services.flasks import fix_flask
from casting.services.searches import begin, wait_for
from casting.services.stock import read_fixture, stock_school
from casting.services.waxes import hand_in
from school.models import Course, Person, School, Student

WEEKS_AHEAD = 3


@transaction.atomic
def load_demo(school: School, course: Course, today: date | None = None) -> CastingDay:
    """Give a class the casting day of `fixtures/demo_class.json`; a day that it has stays as it is."""
    existing = CastingDay.objects.filter(course=course).order_by("pk").first()
    if existing is not None:
        return existing
    stock_school(school)
    file = read_fixture("demo_class.json")
    _add_rules(school, file["rules"])
    record_safety(school)
    for key, controller in file["controllers"].items():
        Kiln.objects.filter(school=school, key=key).update(**controller)
    day = announce(course, _day_entry(school, file["day"], today or datetime.now(school.tz).date()))
    for called, waxes in file["students"].items():
        student, _made = Student.objects.get_or_create(
            course=course, called=called, defaults={"return_hash": make_password(None)}
        )
        for wax in waxes:
            rows = _rows_of(school, wax)
            hand_in(day, student, key=_demo_key(course, called, wax["what"]), entry=invented_wax(wax, *rows))
    return day


def _add_rules(school: School, usual: Mapping[str, Any]) -> None:
    """Give a school's house rules what they do not say."""
    for row in HouseRules.objects.at(school):
        row.rules = dict(usual) | row.rules
        row.save(update_fields=["rules"])


def record_safety(school: School) -> SafetyRecord:
    """Give a school the safety record of the demo class; a record that it has stays as it is."""
    facts = read_fixture("demo_class.json")["safety"]
    record, _made = SafetyRecord.objects.get_or_create(school=school, defaults=facts)
    return record


@transaction.atomic
def book_demo_metal(school: School, by: Person, today: date | None = None) -> None:
    """Book the lots of the demo's safe and keep its prices; a school with a lot or with prices keeps what it has."""
    if school.lots.exists() or school.price_lists.exists():
        return
    file = read_fixture("demo_class.json")
    for lot in file["lots"]:
        entry = LotEntry(
            alloy=Alloy.objects.get(school=school, key=lot["alloy"]),
            weight_g=Decimal(lot["weight_g"]),
            bought_on=(today or datetime.now(school.tz).date()) - timedelta(days=lot["days_before"]),
            price=Decimal(lot["price"]),
            supplier=lot["supplier"],
            certificate=lot["certificate"],
        )
        buy_lot(school, entry, by=by)
    fees = {name: Decimal(fee) for name, fee in file["prices"].items() if name != "per_gram"}
    per_gram = {key: Decimal(price) for key, price in file["prices"]["per_gram"].items()}
    keep_prices(school, Prices(per_gram, **fees), by=by, version=0)


def begin_demo_plan(day: CastingDay, by: Person) -> Search | None:
    """Begin the search for the plan of the demo's day; None if there is a plan or none can be made."""
    if Plan.objects.latest_of(day) is None:
        with suppress(NotPlanned):
            return begin(day, by)
    return None


def finish_demo_plan(search: Search, by: Person) -> str:
    """Wait for the plan and mark one flask of it invested; return why there is no plan, or nothing."""
    while search.goes_on:
        search = wait_for(search)
    if search.state != Search.State.KEPT or search.plan is None:
        return search.sentence or search.get_state_display()
    what = read_fixture("demo_class.json")["invested"]
    invested = set(search.day.waxes.standing().filter(what=what).values_list("tag", flat=True))
    for label, tags in flask_contents(search.plan).items():
        if tags & invested:
            fix_flask(search.day, label, Flask.State.INVESTED, by=by)
    return ""


def demo_visitor(course: Course) -> Student:
    """Return the student through whose phone a newcomer looks."""
    return Student.objects.filter(course=course, called=read_fixture("demo_class.json")["visitor"]).earliest("pk")


def saturday_ahead(today: date) -> date:
    """Return a Saturday some weeks ahead."""
    return today + timedelta(days=(5 - today.weekday()) % 7 + 7 * WEEKS_AHEAD)


def _day_entry(school: School, day: Mapping[str, Any], today: date) -> DayEntry:
    """Return the demo's day as a teacher types it."""
    saturday = saturday_ahead(today)
    pour_at = datetime.combine(saturday, time.fromisoformat(day["pour_at"]), school.tz)
    return DayEntry(
        pour_at=pour_at,
        alloys=Alloy.objects.filter(school=school, key__in=day["alloys"]),
        opens=time.fromisoformat(day["opens"]),
        closes=time.fromisoformat(day["closes"]),
        own_hours={(saturday - timedelta(days=nth)).isoformat(): None for nth in day["nobody_days_before"]},
        on_call=day["on_call"],
    )


def _demo_key(course: Course, called: str, what: str) -> uuid.UUID:
    return uuid.uuid5(uuid.NAMESPACE_OID, f"{course.pk}/{called}/{what}")


def _rows_of(school: School, wax: Mapping[str, Any]) -> tuple[Alloy, PatternMaterial, PatternMaterial | None]:
    """Return the metal of a wax of the file, its material and that of its sprue."""
    of_school = {row.key: row for row in PatternMaterial.objects.filter(school=school)}
    alloy = Alloy.objects.get(school=school, key=wax["alloy"])
    return alloy, of_school[wax["pattern"]], of_school[wax["sprue_pattern"]] if "sprue_pattern" in wax else None


def invented_wax(
    wax: Mapping[str, Any], alloy: Alloy, pattern: PatternMaterial, sprue: PatternMaterial | None
) -> WaxEntry:
    """Return a wax of the file as a student types it, in grams and without a rubber base."""
    return WaxEntry(
        what=wax["what"],
        alloy=alloy,
        pattern=pattern,
        wax_g=Decimal(wax["wax_g"]),
        entered=wax["wax_g"],
        entered_unit="g",
        width_mm=Decimal(wax["width_mm"]),
        depth_mm=Decimal(wax["depth_mm"]),
        height_mm=Decimal(wax["height_mm"]),
        section=wax["section"],
        sprue_g=Decimal(wax.get("sprue_g", "0")),
        sprue_entered=wax.get("sprue_g", ""),
        sprue_pattern=sprue,
    )
