"""The teacher's safety sheet: what holds the plan back, the day's gates, the kit, limits with their sources."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.template.loader import render_to_string
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from casting.calc.values.enums import Asked, Level
from casting.dayfile.rules_file import rulebook
from casting.dayfile.shelf_file import FIXTURES
from casting.models import SafetyRecord
from casting.papers.print_job import PlanPrintJob, PrintJob
from casting.papers.sheets import handout_words as words
from casting.papers.sheets.handout import offered_of
from casting.presenters.cautions import ShownCaution, safety_record_of, to_settle
from casting.presenters.formats import units_of
from casting.presenters.told_once import told_once
from casting.presenters.vacuum import gauge_line
from casting.presenters.wording import in_units
from school.models import Student

WHEN: Mapping[Asked, str | Promise] = {
    Asked.SET_UP: _("Setting up"),
    Asked.PLAN: _("Planning"),
    Asked.KILN: _("Before the kiln goes on"),
    Asked.MELT: _("Before the melt"),
    Asked.POUR: _("Before each pour"),
    Asked.QUENCH: _("Before the quench"),
}
GATES = (Asked.KILN, Asked.MELT, Asked.POUR, Asked.QUENCH)
BY_ELEMENT = {"zinc": "Zn", "copper": "Cu", "nickel": "Ni", "silver": "Ag"}


@dataclass(frozen=True, slots=True)
class SourcedCaution:
    """A caution with the status of its source."""

    caution: ShownCaution
    status: str


@dataclass(frozen=True, slots=True)
class Gate:
    """One thing to tick, with the cautions that ask for it."""

    check: str
    asked_by: tuple[SourcedCaution, ...]


@dataclass(frozen=True, slots=True)
class KitLine:
    """One thing of the kit; `count` is None if a number that it depends on is not recorded."""

    item: str
    count: int | None
    kind: str
    basis: str
    status: str


def teacher_safety_html(job: PlanPrintJob) -> str:
    """Return the page of the teacher's safety sheet of a plan."""
    opened = job.opened
    used = {flask.alloy.key: flask.alloy.composition_pct for flask in opened.sheet.flasks}
    metals = list(used.values()) or [metal.parts for metal in offered_of(job.day).metals]
    of_plan = job.context() | {"pour_at": opened.sheet.pour_at}
    return _page(job, opened.cautions, metals, opened.sheet.day.rules.torches, of_plan)


def teacher_safety_of_day_html(job: PrintJob) -> str:
    """Return the page of the teacher's safety sheet before any plan, of all that the day offers."""
    offered = offered_of(job.day)
    return _page(job, offered.cautions, [metal.parts for metal in offered.metals], offered.values.rules.torches, {})


def _page(
    job: PrintJob,
    cautions: Sequence[ShownCaution],
    metals: Iterable[Mapping[str, float | None]],
    torches: int,
    of_plan: Mapping[str, object],
) -> str:
    day, school = job.day, job.day.course.school
    record, units = safety_record_of(school), units_of(school)
    students = Student.objects.here().filter(course_id=day.course_id).count() or None  # nobody has joined yet: ask
    numbers = {"learners": students, "adults": record.adults, "torches": torches, "stations": torches + 2}
    context = {
        "edition": job.edition,
        "pour_at": day.pour_local(),
        "school": school,
        "held": [caution for caution in cautions if caution.holds_back],
        "kept_out": [caution for caution in cautions if caution.stays_out],
        "cleared": [caution for caution in cautions if caution.cleared_by],
        "gates": gates_of(cautions),
        "reminders": reminders_of(cautions),
        "first_aid": [(trouble.title, trouble.basis) for trouble in words.WRONG],
        "wear_basis": words.WEAR_BASIS,
        "warned": [asking(one) for one in cautions if one.level is Level.WARN and not one.cleared_by],
        "open": to_settle(record, cautions),
        "numbers": numbers,
        "gauge": gauge_line(record.facts()),
        "kit": kit_for(numbers),
        "limits": [{**row, "value": in_units(row["value"], units)} for row in limits_for(used_of(record, metals))],
        "doubts": [in_units(doubt, units) for doubt in _file("safety_limits.json")["doubts"]],
        **of_plan,
    }
    return render_to_string("papers/teacher_safety.html", context)


@cache
def _file(name: str) -> Mapping[str, Any]:
    file: Mapping[str, Any] = json.loads((FIXTURES / name).read_text("utf-8"))
    return file


def asking(caution: ShownCaution) -> SourcedCaution:
    """Return a caution with the status of its source; empty for a rule that is not known any more."""
    rule = rulebook().rules.get(caution.id)
    return SourcedCaution(caution, rule.status if rule else "")


def gates_of(cautions: Iterable[ShownCaution]) -> list[tuple[str | Promise, list[Gate]]]:
    """Return what is ticked on the day, by when it is asked: each check once, though several cautions ask for it."""
    standing = [one for one in cautions if (one.check or one.level is Level.STOP) and not one.cleared_by]
    found = [(WHEN[when], _gates(one for one in standing if one.when is when)) for when in GATES]
    return [(title, gates) for title, gates in found if gates]


def _gates(standing: Iterable[ShownCaution]) -> list[Gate]:
    asked: dict[str, tuple[SourcedCaution, ...]] = {}
    for one in told_once(standing):
        check = one.check or one.text
        asked[check] = (*asked.get(check, ()), asking(one))
    return [Gate(check, by) for check, by in asked.items()]


def reminders_of(cautions: Iterable[ShownCaution]) -> list[tuple[str | Promise, list[ShownCaution]]]:
    """Return what is only to be said, by when: all but what every handout says and what the day plan says of a flask.

    A line of the handout that waits for a rule may not stand there, as the plan can raise it later.
    """
    lines = [*words.STOPS, *(line for _title, step in words.STEPS for line in step)]
    always = frozenset().union(words.WEAR_SPEAKS_FOR, *(line.speaks_for for line in lines if not line.when))
    said = [one for one in cautions if one.level is Level.SAY and not one.check]
    said = [one for one in said if one.id not in always and not one.id.startswith("N-")]
    found = [(title, told_once(one for one in said if one.when is when)) for when, title in WHEN.items()]
    return [(title, lines) for title, lines in found if lines]


def kit_for(numbers: Mapping[str, int | None]) -> list[KitLine]:
    """Return the kit for these numbers of learners, adults, torches and hot stations."""
    return [
        KitLine(row["item"], _how_many(row["count"], numbers), row["kind"], row["basis"], row["status"])
        for row in _file("safety_kit.json")["kit"]
    ]


def _how_many(count: Mapping[str, float], numbers: Mapping[str, int | None]) -> int | None:
    """A sum of the kit, rounded up; None if one of its numbers is not recorded."""
    total = 0.0
    for what in count.keys() - {"plus", "least"}:
        number = numbers[what]
        if number is None:
            return None
        total += count[what] * number
    return int(max(count.get("least", 0), math.ceil(total - 1e-9) + count.get("plus", 0)))


def used_of(record: SafetyRecord, metals: Iterable[Mapping[str, float | None]]) -> set[str]:
    """Return what is used, or may be for all that anybody recorded, as the limits name it."""
    used = {"always"}
    for parts in metals:
        unknown = not parts or None in parts.values()
        used |= {name for name, element in BY_ELEMENT.items() if unknown or parts.get(element, 0)}
    torch = record.melter in {"torch", None}
    facts = {
        "solvent": record.solvents is not False,
        "fibre": record.old_fibre is not False,
        "torch": torch,
        "acetylene": torch and record.fuel in {"acetylene", None},
        "oxygen": torch and record.oxygen is not False,
    }
    return used | {name for name, counts in facts.items() if counts}


def limits_for(used: set[str]) -> list[Mapping[str, str]]:
    """Return the limits of what is used, each with its source; temperatures marked as in a caution."""
    return [row for row in _file("safety_limits.json")["limits"] if row["for"] in used]
