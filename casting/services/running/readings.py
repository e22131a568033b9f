"""What a kiln reads in the night: written down with who and when, and taken away if it was a slip."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from casting.dayfile.rules_file import rulebook
from casting.models import BenchChange, CastingDay, KilnReading, Plan
from casting.models.errors import NotPlanned
from casting.presenters.formats import degrees, units_of
from casting.services.day_shut import locked_open
from casting.services.running.noting import when
from casting.units import NotUnderstood, Temperature, celsius, read_number
from school.models import Person

READING = "reading"
"""What a change of a reading is called among the changes of the bench."""


@transaction.atomic
def note_reading(day: CastingDay, kiln: str, typed: str, *, by: Person, at: datetime | None = None) -> None:
    """Write down what a kiln reads, as it was typed in the school's unit. Idempotent for the same moment.

    Raises `NotPlanned` with a sentence for what is no temperature, hotter than any kiln, to come, or of another kiln.
    """
    locked_open(day.pk)
    last = Plan.objects.latest_of(day)
    if last is None or kiln not in {firing["kiln"] for firing in last.file["firings"]}:
        raise NotPlanned(_("The plan fires no such kiln."))
    units = units_of(day.course.school)
    try:
        read = round(celsius(read_number(typed, Temperature(units.temperature)), Temperature(units.temperature)), 1)
    except NotUnderstood as wrong:
        raise NotPlanned(wrong.sentence) from wrong
    most = rulebook().limit("kiln_hottest_c")
    if read > most:
        sentence = _("“%(typed)s” is hotter than any kiln here: %(most)s is the most. Read it again.")
        raise NotPlanned(sentence % {"typed": typed[:20], "most": degrees(most, units)})
    then = when(at, day)
    row, made = KilnReading.objects.get_or_create(day=day, kiln=kiln, at=then, defaults={"celsius": read, "by": by})
    if made:
        after = {"at": then.isoformat(), "who": by.name, "celsius": float(row.celsius)}
        BenchChange.objects.create(day=day, do=READING, what=kiln, by_person=by, before=None, after=after)


@transaction.atomic
def take_away_reading(day: CastingDay, number: int, *, by: Person) -> None:
    """Take away a reading that was a slip. Idempotent."""
    locked_open(day.pk)
    row = KilnReading.objects.filter(day=day, pk=number).select_related("by").first()
    if row is None:
        return
    before = {"at": row.at.isoformat(), "who": row.by.name if row.by else "", "celsius": float(row.celsius)}
    row.delete()
    BenchChange.objects.create(day=day, do=READING, what=row.kiln, by_person=by, before=before, after=None)
