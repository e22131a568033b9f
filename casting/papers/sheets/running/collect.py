"""Ready to collect: each student's pieces with their metal, what they weigh, and how that metal is cared for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.template.loader import render_to_string

from casting.calc.values.day_input import Alloy
from casting.calc.values.enums import Tick
from casting.dayfile.care_file import CareRule, care_of
from casting.papers.print_job import PlanPrintJob
from casting.presenters.care import care_words
from casting.presenters.plan_sheet import FlaskSheet, WaxOnBase
from casting.selectors.account.flasks import booked_flasks
from casting.selectors.flasks import Noted, noted_on


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece to be given back: its flask, what its casting weighs if somebody weighed it, who got it and when."""

    on_base: WaxOnBase
    flask: FlaskSheet
    cast_g: Decimal | None
    given: Noted | None

    @property
    def is_ready(self) -> bool:
        """Whether its flask is out of the water, or cold, and nobody has it yet."""
        return self.flask.quenched and self.given is None


@dataclass(frozen=True, slots=True)
class Collector:
    """A student with their pieces."""

    student: str
    pieces: Sequence[Piece]


@dataclass(frozen=True, slots=True)
class MetalCare:
    """A metal of the day with what its pieces need; `from_memory` tells that a line has no source."""

    alloy: Alloy
    lines: Sequence[tuple[str, bool]]


def collect_html(job: PlanPrintJob) -> str | None:
    """Return the page of what is ready to collect; None if the plan has no flask."""
    sheet = job.opened.sheet
    if not sheet.flasks:
        return None
    keys = dict.fromkeys(flask.alloy.key for flask in sheet.flasks)
    care = [care_for(sheet.day.alloys[key]) for key in keys]
    context = job.context() | {"collectors": collectors_of(job), "care": care}
    return render_to_string("papers/running/collect.html", context)


def collectors_of(job: PlanPrintJob) -> list[Collector]:
    """Return each student with their pieces, by name. As many queries, however many pieces there are."""
    notes, booked = noted_on(job.day), booked_flasks(job.day)
    key_of = dict(job.day.waxes.values_list("tag", "pk"))
    found: dict[str, list[Piece]] = {}
    for flask in job.opened.sheet.flasks:
        cast_g = booked[flask.label].cast_g if flask.label in booked else {}
        for one in flask.waxes:
            weight_g = cast_g.get(key_of.get(one.name.tag, 0)) or None
            given = notes.get((Tick.COLLECTED, one.name.tag))
            found.setdefault(one.name.student, []).append(Piece(one, flask, weight_g, given))
    return [Collector(student, pieces) for student, pieces in sorted(found.items(), key=lambda one: one[0].casefold())]


def care_for(alloy: Alloy) -> MetalCare:
    """Return what pieces of a metal need."""
    rules: Sequence[CareRule] = care_of(alloy.composition_pct)
    return MetalCare(alloy, [(str(care_words(rule.key)), rule.status == "memory") for rule in rules])
