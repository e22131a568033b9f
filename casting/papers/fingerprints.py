"""Fingerprints of the parts that the papers of a day are made of, to tell whether a print is current.

A print is current while every part that its paper is made of has the fingerprint that was noted with
it. No page is made to find that out. A part that a paper does not use never outdates it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from enum import StrEnum
from functools import cache
from importlib.metadata import version
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from django.utils.translation import override

from casting.calc.cautions.vacuum import vacuum_cautions
from casting.calc.values.errors import Refused
from casting.dayfile.rules_file import rulebook
from casting.models import CastingDay, Flask, SafetyRecord
from casting.models.errors import NotPlanned
from casting.models.safety import FACT_NAMES, PLACE_NAMES
from casting.papers.origin import address_of
from casting.presenters.cautions import ShownCaution, cautions_of_day, offer_of, safety_record_of
from casting.presenters.opened_plan import OpenedPlan, names_of
from casting.presenters.people import on_call_of
from casting.presenters.vacuum import gauge_line
from casting.selectors.day_file import DONE, day_values_of, is_outdated
from casting.selectors.kept_shelf import shelf_at
from casting.selectors.wax_extras import marks_of_extras
from casting.worker.apart import PROJECT
from school.models import Student


class Part(StrEnum):
    """A part of what papers are made of."""

    PLAN = "plan"
    WAXES = "waxes"
    NAMES = "names"
    NOTES = "notes"
    INVESTED = "invested"
    POURED = "poured"
    WEIGHED = "weighed"
    MISHAPS = "mishaps"
    KILNS_ON = "kilns-on"
    CAUTIONS = "cautions"
    CLEARED = "cleared"
    OFFERED = "offered"
    OFFERED_CAUTIONS = "offered-cautions"
    DATE = "date"
    HAND_IN = "hand-in"
    CLASS = "class"
    STUDENTS = "students"
    RECORD = "record"
    GAUGE = "gauge"
    ON_CALL = "on-call"
    PRICES = "prices"
    SCHOOL = "school"
    ADDRESS = "address"
    PROGRAM = "program"


WHY: Mapping[Part, str | Promise] = {
    Part.PLAN: _("there is a newer plan"),
    Part.WAXES: _("waxes have changed"),
    Part.NAMES: _("names have changed"),
    Part.NOTES: _("notes or photos of waxes have changed"),
    Part.INVESTED: _("flasks were invested since"),
    Part.POURED: _("flasks were poured since"),
    Part.WEIGHED: _("finished bases were weighed since"),
    Part.MISHAPS: _("what went wrong with a flask was noted since, or taken back"),
    Part.KILNS_ON: _("a kiln was put on since, or its note was taken back"),
    Part.CAUTIONS: _("cautions have changed"),
    Part.CLEARED: _("what was cleared has changed"),
    Part.OFFERED: _("the metals offered or the equipment have changed"),
    Part.OFFERED_CAUTIONS: _("cautions of the metals offered have changed"),
    Part.DATE: _("the date has changed"),
    Part.HAND_IN: _("the hand-in has changed"),
    Part.CLASS: _("the class has another name or code"),
    Part.STUDENTS: _("the class has more or fewer students"),
    Part.RECORD: _("the school's safety record has changed"),
    Part.GAUGE: _("the vacuum gauge's number has changed"),
    Part.ON_CALL: _("whom to call has changed"),
    Part.PRICES: _("the prices have changed"),
    Part.SCHOOL: _("the school's name, units or paper have changed"),
    Part.ADDRESS: _("the address of these pages has changed"),
    Part.PROGRAM: _("this program has changed"),
}
"""What a teacher is told when a part is not what it was."""

OF_NO_DAY = {"waxes", "held", "pour_at", "hours", *DONE}
"""What a day file says beside what the day offers; what its hours raise is a caution."""

Parts = Mapping[Part, str]


def parts_of(day: CastingDay, opened: OpenedPlan | None, origin: str) -> Parts:
    """Return the fingerprint of every part of a day and its plan, on the site of this origin.

    It asks the database as often for many waxes as for few.
    """
    school, record = day.course.school, safety_record_of(day.course.school)
    parts: dict[Part, Any] = {
        Part.DATE: day.pour_local().date(),
        Part.HAND_IN: [day.hand_in_closes_at, day.closed_at is not None],
        Part.CLASS: [day.course.name, day.course.code],
        Part.STUDENTS: Student.objects.here().filter(course_id=day.course_id).count(),
        Part.RECORD: [(name, getattr(record, name)) for name in (*FACT_NAMES, *PLACE_NAMES)],
        Part.GAUGE: _of_gauge(record),
        Part.ON_CALL: [on_call_of(day, record), record.contact, record.emergency_number],
        Part.PRICES: shelf_at(school).prices,
        Part.SCHOOL: [
            school.name,
            school.zone,
            school.weight_unit,
            school.temperature_unit,
            school.length_unit,
            school.paper,
            school.currency,
        ],
        Part.ADDRESS: address_of("/", origin),
        Part.PROGRAM: program(),
    }
    try:
        values = day_values_of(day)
    except NotPlanned:
        values = {}
    parts |= _of_offer(day, values)
    if opened is not None:
        parts |= _of_plan(opened, values)
    return {part: _short(value) for part, value in parts.items()}


def changed_since(parts: Parts) -> bool:
    """Tell whether the day has changed since its plan was made; it has not while there is none."""
    return parts.get(Part.WAXES) == _short(True)


def _of_gauge(record: SafetyRecord) -> list[str]:
    """The gauge's number, in one language as each paper has its own, and what warns of its pump."""
    facts = record.facts()
    with override("en"):
        return [gauge_line(facts).number, *(one.text for one in vacuum_cautions(facts, rulebook()))]


def _of_offer(day: CastingDay, values: Mapping[str, Any]) -> dict[Part, Any]:
    """The parts of a day's values without its waxes; empty ones if there are no values."""
    if not values:
        return {Part.OFFERED: "", Part.OFFERED_CAUTIONS: "", Part.CLEARED: []}
    offered = {key: value for key, value in values.items() if key not in OF_NO_DAY}
    try:
        cautions = cautions_of_day(day, offer_of(values))
    except Refused:
        return {Part.OFFERED: offered, Part.OFFERED_CAUTIONS: "", Part.CLEARED: []}
    cleared = _cleared(cautions)
    return {Part.OFFERED: offered, Part.OFFERED_CAUTIONS: [_raised(cautions), cleared], Part.CLEARED: cleared}


def _of_plan(opened: OpenedPlan, values: Mapping[str, Any]) -> dict[Part, Any]:
    plan, states = opened.plan, opened.plan.day.states()
    return {
        Part.PLAN: plan.revision,
        Part.WAXES: not values or is_outdated(plan, values),
        Part.NAMES: sorted(
            (tag, named.student, named.piece) for tag, named in names_of(plan.day, on_paper=True).items()
        ),
        Part.NOTES: marks_of_extras(plan.day),
        Part.INVESTED: sorted(states),
        Part.POURED: sorted(label for label, state in states.items() if state == Flask.State.POURED),
        Part.WEIGHED: [(flask.label, flask.charge_g) for flask in opened.sheet.flasks if flask.mounted],
        Part.MISHAPS: [
            (flask.label, flask.mishap.kind, flask.mishap.left, flask.mishap.at)
            for flask in opened.sheet.flasks
            if flask.mishap
        ],
        Part.KILNS_ON: sorted(plan.day.kilns_on().items()),
        Part.CAUTIONS: _raised(opened.cautions),
        Part.CLEARED: _cleared(opened.cautions),
    }


def _raised(cautions: Iterable[ShownCaution]) -> list[Any]:
    return [(one.id, one.level, one.when, one.text, one.basis) for one in cautions]


def _cleared(cautions: Iterable[ShownCaution]) -> list[Any]:
    return [(one.id, one.text, one.cleared_by, one.reason) for one in cautions if one.cleared_by]


def _short(value: object) -> str:
    return hashlib.sha256(json.dumps(value, default=str, sort_keys=True).encode()).hexdigest()[:16]


@cache
def program() -> str:
    """Return the fingerprint of what turns values into papers: code, words, drawings and WeasyPrint."""
    digest = hashlib.sha256(version("weasyprint").encode())
    for folder, pattern in (
        ("casting", "**/*.py"), ("school", "**/*.py"), ("casting", "**/*.mo"), ("school", "**/*.mo"),
        ("templates", "**/*.html"), ("fixtures", "*.json"), ("static/css", "*.css"), ("static/fonts", "*.ttf"),
    ):  # fmt: skip
        for path in sorted((PROJECT / folder).glob(pattern)):
            digest.update(path.relative_to(PROJECT).as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()[:16]
