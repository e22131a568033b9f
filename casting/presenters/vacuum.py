"""The number that a school's vacuum gauge has to reach, as people read it; a line to fill in where it is not known."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from casting.calc.cautions.school_record import FACTS, SafetyRecord
from casting.calc.cautions.vacuum import gauge_of, unknown_of_gauge
from casting.calc.quantities.vacuum import MBAR_IN
from casting.dayfile.rules_file import rulebook
from casting.presenters.formats import plain, rounded


@dataclass(frozen=True, slots=True)
class GaugeLine:
    """The number in words, and a sentence of where it comes from (empty if it is not known)."""

    number: str
    note: str = ""


def gauge_line(record: SafetyRecord) -> GaugeLine:
    """Return what the gauge of a school has to show, in the language that is asked for."""
    found = gauge_of(record)
    if found is None:
        asked = ", ".join(_(FACTS[name].short) for name in unknown_of_gauge(record))
        return GaugeLine(_("____ (not recorded, ask: %(asked)s)") % {"asked": asked})
    gauge, air_mbar = found
    target_mbar = rulebook().limit("vacuum_absolute_mbar")
    figures = {"reading": plain(gauge.reading_to_reach(target_mbar, air_mbar)), "unit": gauge.unit}
    words = _("%(reading)s %(unit)s or less") if gauge.absolute else _("%(reading)s %(unit)s or more")
    number = words % figures
    if gauge.absolute:
        note = _("Pull as deep as the pump goes. This number holds at any height and in any weather.")
    else:
        note = _(
            "Pull as deep as the pump goes. This is %(target)s mbar absolute at %(height)s m in ordinary weather. "
            "In high-pressure weather it takes about %(more)s %(unit)s more."
        )
    weather = rulebook().limit("vacuum_weather_mbar") / MBAR_IN[gauge.unit]
    more = {
        "target": plain(target_mbar),
        "height": plain(record.elevation_m or 0),
        "more": plain(rounded(weather, 2 if gauge.unit == "bar" else 1)),
    }
    return GaugeLine(number, note % (figures | more))
