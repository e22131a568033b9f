"""A bowl at the investing bench: its water, when the powder met it, the gauge, when its gloss was gone, its flasks.

A bowl is known by the letters of its flasks, as "A+E".
"""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from casting.calc.cautions.vacuum import gauge_of
from casting.calc.values.enums import Tick
from casting.dayfile.rules_file import rulebook
from casting.dayfile.times import is_before
from casting.models import CastingDay, Flask, Plan
from casting.models.errors import NotPlanned
from casting.presenters.cautions import safety_record_of
from casting.presenters.formats import degrees, minutes, on_clock_of, units_of
from casting.presenters.running.mixing import JOINED
from casting.services.day_shut import locked_open
from casting.services.days import keep_measured_gloss
from casting.services.flasks import fix_flask
from casting.services.running.noting import note, take_back
from casting.units import Count, NotUnderstood, Temperature, celsius, read_number
from school.models import Person

LEAST_MIN, MOST_MIN = 1, 60
"""When the gloss may be gone, as a day file takes it [min]."""


@transaction.atomic
def note_water(day: CastingDay, bowl: str, typed: str, *, by: Person, at: datetime) -> None:
    """Note how warm the water of a bowl is, as typed in the school's unit."""
    _waiting(day, bowl)
    unit = Temperature(units_of(day.course.school).temperature)
    try:
        read_c = round(float(celsius(read_number(typed, unit), unit)), 1)
    except NotUnderstood as wrong:
        raise NotPlanned(wrong.sentence) from wrong
    most_c = rulebook().limit("mix_water_most_c")
    if read_c > most_c:
        words = {"typed": typed[:20], "most": degrees(most_c, units_of(day.course.school))}
        sentence = _(
            "“%(typed)s” is hotter than the water of any mix: %(most)s is the most. Read it again, and look at the "
            "powder's sheet."
        )
        raise NotPlanned(sentence % words)
    note(day, Tick.WATER, bowl, at=at, by=by, figures={"celsius": read_c})


@transaction.atomic
def begin_bowl(day: CastingDay, bowl: str, *, by: Person, at: datetime, who: str = "") -> None:
    """Note that the powder of a bowl met its water: from then it can be worked for its minutes."""
    _waiting(day, bowl)
    note(day, Tick.MIXING, bowl, at=at, by=by, who=who)


@transaction.atomic
def undo_begun(day: CastingDay, bowl: str, *, by: Person) -> None:
    """Take back that a bowl was begun, as when it spilled. Refused while it says when its gloss was gone."""
    locked_open(day.pk)
    if day.steps_done.filter(do=Tick.GLOSS, what=bowl).exists():
        raise NotPlanned(_("It is noted when the gloss of this bowl was gone. Take that back first."))
    take_back(day, Tick.MIXING, bowl, by=by)


@transaction.atomic
def note_bell(day: CastingDay, bowl: str, typed: str, *, by: Person, at: datetime) -> None:
    """Note what the gauge shows while a bowl is under vacuum, and whether that is the school's own number."""
    _labels(day, bowl)
    record = safety_record_of(day.course.school).facts()
    found, figures = gauge_of(record), dict[str, Any]()
    try:
        reading = float(read_number(typed, Count.PLAIN))
    except NotUnderstood as wrong:
        raise NotPlanned(wrong.sentence) from wrong
    if found is not None:
        gauge, air_mbar = found
        if not gauge.absolute and reading > gauge.reading(0, air_mbar + rulebook().limit("vacuum_weather_mbar")):
            sentence = _("“%(typed)s” %(unit)s is more than the air here weighs. Read the gauge again.")
            raise NotPlanned(sentence % {"typed": typed[:20], "unit": gauge.unit})
        enough = gauge.reaches(reading, rulebook().limit("vacuum_absolute_mbar"), air_mbar)
        figures = {"unit": gauge.unit, "enough": enough}
    note(day, Tick.BELL, bowl, at=at, by=by, figures={"reading": reading} | figures)


@transaction.atomic
def note_gloss_gone(day: CastingDay, bowl: str, *, by: Person, at: datetime) -> None:
    """Note that the gloss of a bowl is gone, and after how long. Raises `NotPlanned` if that cannot be."""
    _labels(day, bowl)
    begun = day.done_at(Tick.MIXING)[Tick.MIXING].get(bowl)
    if begun is None:
        raise NotPlanned(_("Nobody noted when the powder of this bowl met the water. Note that first."))
    took = (at - begun) / timedelta(minutes=1)
    words = {"begun": on_clock_of(begun, day.course.school), "took": minutes(max(0, int(took)))}
    if not LEAST_MIN <= took <= MOST_MIN:
        sentence = _("The powder met the water on %(begun)s: %(took)s is no time for gloss. Correct what is wrong.")
        raise NotPlanned(sentence % words)
    # Down to a tenth: a mix is never taken to last longer than it did.
    note(day, Tick.GLOSS, bowl, at=at, by=by, figures={"min": math.floor(took * 10 + 1e-9) / 10})


@transaction.atomic
def take_gloss(day: CastingDay, bowl: str, *, by: Person) -> None:
    """Count on what was measured of a bowl in the day's next plan."""
    locked_open(day.pk)
    step = day.steps_done.filter(do=Tick.GLOSS, what=bowl).first()
    if step is None:
        raise NotPlanned(_("Nobody noted when the gloss of this bowl was gone. Note that first."))
    keep_measured_gloss(day, step.figures["min"], by=by)


@transaction.atomic
def fill_flasks(day: CastingDay, bowl: str, *, by: Person, at: datetime, as_planned: bool = False) -> None:
    """Note that the flasks of a bowl are filled, and so invested. Idempotent; raises what `fix_flask` raises."""
    labels = _labels(day, bowl)
    begun = day.done_at(Tick.MIXING)[Tick.MIXING].get(bowl)
    if begun is not None and is_before(at, begun):
        words = {"at": on_clock_of(at, day.course.school), "begun": on_clock_of(begun, day.course.school)}
        sentence = _("It cannot be filled on %(at)s: its powder met the water on %(begun)s. Correct what is wrong.")
        raise NotPlanned(sentence % words)
    states = day.states()
    for label in labels:
        if label not in states:
            fix_flask(day, label, Flask.State.INVESTED, by=by, as_planned=as_planned, invested_at=at)


@transaction.atomic
def undo_filled(day: CastingDay, bowl: str, *, by: Person) -> None:
    """Take back that the flasks of a bowl are invested. Idempotent; refused if one of them has gone on."""
    for label in _labels(day, bowl):
        if label in day.states():
            fix_flask(day, label, Flask.State.PLANNED, by=by)


def _labels(day: CastingDay, bowl: str) -> list[str]:
    """The flasks of a bowl of the last plan."""
    locked_open(day.pk)
    last = Plan.objects.latest_of(day)
    bowls = [list(row["flasks"]) for row in last.file["bowls"]] if last else []
    labels = bowl.split(JOINED)
    # Flasks invested before a later plan have no bowl in it; they are still those that were filled together.
    if labels not in bowls and not set(labels) <= day.states().keys():
        raise NotPlanned(_("The last plan mixes no such bowl. Look at the page again."))
    return labels


def _waiting(day: CastingDay, bowl: str) -> None:
    """Raise `NotPlanned` if every flask of a bowl is invested."""
    if set(_labels(day, bowl)) <= day.states().keys():
        raise NotPlanned(_("The flasks of this bowl are invested."))
