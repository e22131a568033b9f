"""The one day that the pictures of the papers are made of: every row, name, time and address of it fixed.

Its plan was made once and is kept, so that a better search changes no picture.
"""

from __future__ import annotations

import json
import uuid
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

from casting.models import Alloy, CastingDay, PatternMaterial, Plan, SafetyRecord
from casting.models.wax_entry import WaxEntry
from casting.papers.registry import PAPERS
from casting.papers.sheets.flask_cards import flask_cards_html
from casting.selectors.day_file import day_file_of
from casting.services.cautions import clear
from casting.services.waxes import hand_in
from school.models import LengthUnit, Paper, School, TemperatureUnit, WeightUnit
from tests.casting.papers.printed import job_of
from tests.casting_factories import DayFactory
from tests.factories import CourseFactory, PersonFactory, StudentFactory

PICTURES = Path(__file__).parents[2] / "reference" / "pictures"
ORIGIN = "https://bench.example.org"
FIRST_KEY = 7001
"""Of the day and of the students: the day's key stands in the codes of the flask cards."""
MADE_AT = datetime(2027, 6, 8, 19, 5, tzinfo=UTC)


def pictured_pages() -> dict[str, str]:
    """Return every paper's page by the name of its pictures: of the day, of its plan, and of an American school."""
    day = pictured_day()
    job = job_of(day, origin=ORIGIN)
    pages = {f"{paper.key}-of-day": paper.html(job) for paper in PAPERS if paper.of_plan and paper.of_day}
    plan = pictured_plan(day)
    job = job_of(plan, origin=ORIGIN)
    pages |= {paper.key: paper.html(job) for paper in PAPERS}
    pages["flask-cards-on-labels"] = flask_cards_html(job, stock="a4-2x4-apart", skip=1)
    _american(day)
    plan.refresh_from_db()
    job = job_of(plan, origin=ORIGIN)
    pages |= {f"{paper.key}-on-letter": paper.html(job) for paper in PAPERS if paper.key in ("weigh-out", "kiln-room")}
    return {name: html or "" for name, html in pages.items()}


def pictured_day() -> Any:
    """The day with its class and waxes, handed in as students do."""
    course = CourseFactory(name="Casting, spring", code="TW2027")
    day = DayFactory(pk=FIRST_KEY, course=course, pour_at=datetime(2027, 6, 12, 14, 0, tzinfo=UTC))
    students: dict[str, list[dict[str, Any]]] = json.loads((PICTURES / "day.json").read_text("utf-8"))["students"]
    for key, (called, waxes) in enumerate(students.items(), start=FIRST_KEY):
        student = StudentFactory(pk=key, course=course, called=called)
        for wax in waxes:
            hand_in(day, student, key=uuid.uuid4(), entry=_entry(day, wax))
    # Only now: that moment will have passed one day, and a closed day takes no wax.
    day.hand_in_closes_at = datetime(2027, 6, 8, 22, 0, tzinfo=UTC)
    day.save()
    return day


def _entry(day: CastingDay, wax: dict[str, Any]) -> WaxEntry:
    def pattern(key: str) -> PatternMaterial:
        return PatternMaterial.objects.get(school=day.course.school, key=key)

    sprue = wax.get("sprue_pattern")
    return WaxEntry(
        what=wax["what"],
        alloy=Alloy.objects.get(school=day.course.school, key=wax["alloy"]),
        pattern=pattern(wax["pattern"]),
        wax_g=Decimal(wax["wax_g"]),
        entered=wax["wax_g"],
        entered_unit="g",
        width_mm=Decimal(wax["width_mm"]),
        depth_mm=Decimal(wax["depth_mm"]),
        height_mm=Decimal(wax["height_mm"]),
        section=wax["section"],
        own_metal=wax.get("own_metal", False),
        sprue_g=Decimal(wax.get("sprue_g", "0")),
        sprue_pattern=pattern(sprue) if sprue else None,
    )


def _american(day: CastingDay) -> None:
    """Letter, pennyweights and Fahrenheit; and a cleared caution in the head of every sheet."""
    School.objects.filter(pk=day.course.school_id).update(
        paper=Paper.LETTER,
        weight_unit=WeightUnit.PENNYWEIGHT,
        temperature_unit=TemperatureUnit.FAHRENHEIT,
        length_unit=LengthUnit.INCH,
    )
    day.course.school.refresh_from_db()
    SafetyRecord.objects.update(on_call=None)
    clear(day, "R-20a", by="Imre Valdane", reason="Sunniva Okoro sleeps over the studio and is at the kiln from four")


def pictured_plan(day: CastingDay) -> Plan:
    """The kept plan of the day, as its second revision."""
    plan_file, teacher = (PICTURES / "plan.json").read_text("utf-8"), PersonFactory(school=day.course.school)
    plan = Plan.objects.create(day=day, revision=2, plan_file=plan_file, day_file=day_file_of(day), made_by=teacher)
    Plan.objects.filter(pk=plan.pk).update(made_at=MADE_AT)
    plan.refresh_from_db()
    return plan
