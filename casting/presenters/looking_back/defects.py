"""The defects of a day as a page shows them: each with its likely causes, what speaks for each, and its remedy."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from casting.calc.advice.defects import likely_causes
from casting.calc.values.defect import Cause, Defect, Sense, Verdict
from casting.calc.values.enums import Tick
from casting.dayfile.defects_file import cause_rules
from casting.dayfile.rules_file import rulebook
from casting.models import CastingDay, PieceDefect, Plan
from casting.presenters.figure_words import Reader
from casting.presenters.formats import length_number
from casting.presenters.looking_back.defect_words import CAUSES, FACTS
from casting.presenters.looking_back.flask_record import DayRecord
from casting.presenters.running.base_photo import BasePhotoLine, base_photo_of
from casting.presenters.sources import told
from casting.selectors.flasks import Noted, flask_contents, flask_of


@dataclass(frozen=True, slots=True)
class SaidCause:
    """A cause in words: what it is, the figures that tell of it, what to do, and what that rests on."""

    id: str
    cause: str
    evidence: str
    remedy: str
    source: str
    worth: str


@dataclass(frozen=True, slots=True)
class SprueLine:
    """The sprue of a piece as measured, in words and as the school's ruler reads it; all empty if nobody did."""

    words: str
    thick: str
    long: str


@dataclass(frozen=True, slots=True)
class SaidDefect:
    """A defect of a piece with its flask and the photo of its base, and its causes: what the record points to first.

    `sprue` is None where no sprue causes such a defect.
    """

    row: PieceDefect
    flask: str
    base: BasePhotoLine | None
    sprue: SprueLine | None
    points: tuple[SaidCause, ...]
    open: tuple[SaidCause, ...]
    against: tuple[SaidCause, ...]


def said_defects(day: CastingDay, plan: Plan | None) -> list[SaidDefect]:
    """Return the defects of a day that stand, the newest first, each held against the record of its own flask."""
    rows = list(PieceDefect.objects.standing().filter(wax__day=day))
    if plan is None or not rows:
        return []
    record, reader, home = DayRecord.of(plan), Reader(day.course.school), flask_of(plan)
    return [_said(row, home[row.wax.tag], record, reader) for row in rows if row.wax.tag in home]


def _said(row: PieceDefect, flask: str, record: DayRecord, reader: Reader) -> SaidDefect:
    causes = likely_causes(Defect(row.kind), record.figures(row.wax.tag), cause_rules(), rulebook())

    def of(verdict: Verdict) -> tuple[SaidCause, ...]:
        return tuple(said_cause(cause, reader) for cause in causes if cause.verdict is verdict)

    base = base_photo_of(record.notes, flask, flask_contents(record.plan)[flask])
    asked = {cause.rule.fact for cause in causes} & {"sprue_mm", "sprue_length_mm"}
    sprue = _sprue(record.notes.get((Tick.SPRUE, row.wax.tag)), reader) if asked else None
    return SaidDefect(
        row, flask, base, sprue, of(Verdict.POINTS_HERE), of(Verdict.NOT_RECORDED), of(Verdict.SPEAKS_AGAINST)
    )


def _sprue(noted: Noted | None, reader: Reader) -> SprueLine:
    found = {name: float(one) for name, one in noted.figures.items()} if noted else {}
    words = [
        said % {"length": reader.length(found[name])}
        for name, said in (("thick_mm", _("%(length)s thick")), ("long_mm", _("%(length)s long")))
        if name in found
    ]
    thick, long = (
        length_number(found[name], reader.units) if name in found else "" for name in ("thick_mm", "long_mm")
    )
    who = f" ({noted.by})" if noted and noted.by else ""
    return SprueLine(", ".join(words) + who if words else "", thick, long)


def said_cause(cause: Cause, reader: Reader) -> SaidCause:
    """Return a cause in the school's units and the reader's language."""
    what, remedy = CAUSES[cause.rule.id]
    source, worth, _remembered = told(reader, {"source": cause.rule.source, "status": cause.rule.status})
    return SaidCause(cause.rule.id, str(what), _evidence(cause, reader), str(remedy), source, worth)


def _evidence(cause: Cause, reader: Reader) -> str:
    """The figure and what it is held against: "soak at flask temperature: 30 min; 60 min at least"."""
    rule, fact = cause.rule, FACTS[cause.rule.fact]
    if rule.sense is Sense.PRESENT:
        known = _("not recorded") if cause.found is None else _("yes") if cause.found else _("no")
        return f"{fact}: {known}"
    found = _("not recorded") if cause.found is None else reader.one(rule.fact, cause.found)
    if cause.asked is None and cause.found is not None:
        return _("%(fact)s: %(found)s; nobody recorded what it should be") % {"fact": fact, "found": found}
    if cause.asked is None:
        return f"{fact}: {found}"
    asked = reader.one(rule.fact, cause.asked)
    words = {"fact": fact, "found": found, "asked": asked}
    if rule.sense is Sense.BELOW:
        return _("%(fact)s: %(found)s; at least %(asked)s") % words
    return _("%(fact)s: %(found)s; at most %(asked)s") % words
