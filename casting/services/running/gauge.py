"""What the vacuum gauge shows, as somebody typed it: under the bell, or under a flask at its pour."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from casting.calc.cautions.vacuum import gauge_of
from casting.dayfile.rules_file import rulebook
from casting.models.errors import NotPlanned
from casting.presenters.cautions import safety_record_of
from casting.units import Count, NotUnderstood, read_number
from school.models import School


def read_gauge(school: School, typed: str) -> dict[str, Any]:
    """Return the reading, with its unit and whether it is deep enough where the school's gauge is recorded.

    Raises `NotPlanned` with a sentence for what is no number, and for more than the air here weighs.
    """
    try:
        reading = float(read_number(typed, Count.PLAIN))
    except NotUnderstood as wrong:
        raise NotPlanned(wrong.sentence) from wrong
    found = gauge_of(safety_record_of(school).facts())
    if found is None:
        return {"reading": reading}
    gauge, air_mbar = found
    if not gauge.absolute and reading > gauge.reading(0, air_mbar + rulebook().limit("vacuum_weather_mbar")):
        sentence = _("“%(typed)s” %(unit)s is more than the air here weighs. Read the gauge again.")
        raise NotPlanned(sentence % {"typed": typed[:20], "unit": gauge.unit})
    enough = gauge.reaches(reading, rulebook().limit("vacuum_absolute_mbar"), air_mbar)
    return {"reading": reading, "unit": gauge.unit, "enough": enough}
