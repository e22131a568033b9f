"""The invented class of the demo: its casting day, its students and their waxes."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from django.contrib.auth.hashers import make_password
from django.db import transaction

from casting.models import Alloy, CastingDay, PatternMaterial, SafetyRecord
from casting.models.wax_entry import WaxEntry
from casting.services.stock import read_fixture, stock_school
from casting.services.waxes import hand_in
from school.models import Course, School, Student

WEEKS_AHEAD = 3


@transaction.atomic
def load_demo(school: School, course: Course, today: date | None = None) -> CastingDay:
    """Give a class the invented casting day of `fixtures/demo_class.json`; twice changes nothing."""
    there = CastingDay.objects.filter(course=course).order_by("pk").first()
    if there is not None:
        return there
    stock_school(school)
    file = read_fixture("demo_class.json")
    record_safety(school)
    day = _announce(course, file["day"], today or datetime.now(school.tz).date())
    day.alloys.set(Alloy.objects.filter(school=school, key__in=file["day"]["alloys"]))
    for called, waxes in file["students"].items():
        student, _made = Student.objects.get_or_create(
            course=course, called=called, defaults={"return_hash": make_password(None)}
        )
        for wax in waxes:
            hand_in(day, student, key=_demo_key(course, called, wax["what"]), entry=_entry(school, wax))
    return day


def record_safety(school: School) -> SafetyRecord:
    """Give a school the invented safety record of the demo class; one that it has stays as it is."""
    facts = read_fixture("demo_class.json")["safety"]
    record, _made = SafetyRecord.objects.get_or_create(school=school, defaults=facts)
    return record


def _announce(course: Course, day: Mapping[str, Any], today: date) -> CastingDay:
    """The demo's day: a Saturday some weeks ahead, at a local time that exists."""
    saturday = today + timedelta(days=(5 - today.weekday()) % 7 + 7 * WEEKS_AHEAD)
    pour_at = datetime.combine(saturday, time.fromisoformat(day["pour_at"]), course.school.tz)
    return CastingDay.objects.create(
        course=course,
        pour_at=pour_at,
        opens=time.fromisoformat(day["opens"]),
        closes=time.fromisoformat(day["closes"]),
    )


def _demo_key(course: Course, called: str, what: str) -> uuid.UUID:
    return uuid.uuid5(uuid.NAMESPACE_OID, f"{course.pk}/{called}/{what}")


def _entry(school: School, wax: Mapping[str, Any]) -> WaxEntry:
    """An entry of the demo file, as if typed in grams and without a rubber base."""
    sprue = wax.get("sprue_pattern")
    return WaxEntry(
        what=wax["what"],
        alloy=Alloy.objects.get(school=school, key=wax["alloy"]),
        pattern=PatternMaterial.objects.get(school=school, key=wax["pattern"]),
        wax_g=Decimal(wax["wax_g"]),
        entered=wax["wax_g"],
        entered_unit="g",
        width_mm=Decimal(wax["width_mm"]),
        depth_mm=Decimal(wax["depth_mm"]),
        height_mm=Decimal(wax["height_mm"]),
        section=wax["section"],
        sprue_g=Decimal(wax.get("sprue_g", "0")),
        sprue_entered=wax.get("sprue_g", ""),
        sprue_pattern=PatternMaterial.objects.get(school=school, key=sprue) if sprue else None,
    )
