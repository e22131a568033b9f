"""The kiln log: what each kiln read against its planned curve, who wrote it down, what came out when."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from casting.calc.values.enums import Do
from casting.calc.values.mishap import Mishap
from casting.drawings.night_curve import draw_night_curve
from casting.papers.print_job import PlanPrintJob
from casting.presenters.formats import degrees, degrees_apart
from casting.presenters.running.kiln_room import KilnNow, as_it_goes
from casting.presenters.running.mishap_words import NOTED
from casting.selectors.flasks import Notes, noted_on
from casting.selectors.mishaps import mishaps_of

BLANK_ROWS = 8
"""Rows that take a pencil, for what is read without a tablet."""


@dataclass(frozen=True, slots=True)
class LogRow:
    """A moment of a kiln's night: what it read and should have read, or what happened, and who wrote it down."""

    at: datetime
    by: str
    what: str = ""
    read: str = ""
    planned: str = ""
    off: str = ""


@dataclass(frozen=True, slots=True)
class KilnLog:
    """One kiln with its curve and its rows in order."""

    named: str
    firing: str
    curve: SafeString
    rows: Sequence[LogRow]


def kiln_log_html(job: PlanPrintJob) -> str | None:
    """Return the page of the kiln log; None if the plan fires no kiln."""
    opened = job.opened
    notes, now = noted_on(job.day), timezone.now().astimezone(opened.day.zone)
    poured = {what: noted.at for (do, what), noted in notes.items() if do == Do.POUR}
    kilns, _expected = as_it_goes(opened, poured, now)
    if not kilns:
        return None
    logs = [_log(kiln, notes, job) for kiln in kilns]
    context = job.context() | {"logs": logs, "blank": range(BLANK_ROWS)}
    return render_to_string("papers/running/kiln_log.html", context)


def _log(kiln: KilnNow, notes: Notes, job: PlanPrintJob) -> KilnLog:
    units = job.opened.units
    read = [(one.at, one.celsius) for one in kiln.readings]
    unseen = kiln.night.on_at - timedelta(days=9)  # a log has no clock that goes
    curve = draw_night_curve(kiln.night, lambda celsius: degrees(celsius, units), read, unseen, kiln.shift)
    rows = [*_readings(kiln, job), *_happened(kiln, notes), *_went_wrong(kiln, job)]
    return KilnLog(kiln.night.named, kiln.night.firing, curve, sorted(rows, key=lambda row: row.at))


def _readings(kiln: KilnNow, job: PlanPrintJob) -> list[LogRow]:
    units, rows = job.opened.units, []
    for one in kiln.readings:
        planned_c = kiln.planned_at(one.at)
        off_c = one.celsius - planned_c
        sign = "+" if off_c > 0 else "\N{MINUS SIGN}"
        off = sign + degrees_apart(abs(off_c), units) if round(off_c) else degrees_apart(0, units)
        rows.append(LogRow(one.at, one.by, "", degrees(one.celsius, units), degrees(planned_c, units), off))
    return rows


def _happened(kiln: KilnNow, notes: Notes) -> list[LogRow]:
    """When it was noted on, and when its flasks were poured."""
    on = notes.get((Do.KILN_ON, kiln.night.kiln.key))
    rows = [LogRow(on.at, on.by, _("on"))] if on else []
    for flask in kiln.night.flasks:
        if noted := notes.get((Do.POUR, flask.label)):
            rows.append(LogRow(noted.at, noted.by, _("flask %(label)s poured") % {"label": flask.label}))
    return rows


def _went_wrong(kiln: KilnNow, job: PlanPrintJob) -> list[LogRow]:
    """What went wrong with its flasks, and what was left of them."""
    inside, rows = {flask.label for flask in kiln.night.flasks}, []
    for met in mishaps_of(job.day):
        if met.label in inside:
            what = str(NOTED[Mishap(met.kind)]) % {"label": met.label}
            by = met.by.name if met.by else ""
            rows.append(LogRow(met.at.astimezone(job.opened.day.zone), by, f"{what}: {met.get_left_display()}"))
    return rows
