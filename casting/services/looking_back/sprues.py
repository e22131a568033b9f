"""How thick and long the sprue of a casting is, as measured where it is sawn off: it tells why a piece shrank."""

from __future__ import annotations

from decimal import Decimal

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.calc.values.enums import Tick
from casting.models import Wax
from casting.models.account import SMALLEST
from casting.models.errors import NotPlanned
from casting.presenters.formats import SchoolUnits, units_of
from casting.presenters.lengths import length
from casting.services.day_shut import locked_open
from casting.services.running.noting import note, take_back
from casting.units import NotUnderstood, in_decimals, millimetres, read_number
from school.models import Person

MOST_MM = {"thick_mm": Decimal(20), "long_mm": Decimal(150)}
"""More is no sprue but a slip, of the unit or of the point: the school's judgement."""


@transaction.atomic
def note_sprue(wax: Wax, thick: str, long: str, *, by: Person) -> None:
    """Note how thick and long the sprue of a piece is, as typed in the school's unit; a blank one is not measured.

    Both blank take the note back. Raises `NotPlanned` with a sentence if one is no such length.
    """
    day = locked_open(wax.day_id)
    units = units_of(day.course.school)
    read = {name: _read(name, typed, units) for name, typed in (("thick_mm", thick), ("long_mm", long))}
    figures = {name: f"{one_mm.normalize():f}" for name, one_mm in read.items() if one_mm is not None}
    there = day.steps_done.filter(do=Tick.SPRUE, what=wax.tag).first()
    if figures and not (there and there.figures == figures):
        note(day, Tick.SPRUE, wax.tag, at=timezone.now(), by=by, figures=figures)
    elif there and not figures:
        take_back(day, Tick.SPRUE, wax.tag, by=by)
    elif not figures:
        raise NotPlanned(_("Write how thick the sprue of %(tag)s is, or how long, or both.") % {"tag": wax.tag})


def _read(name: str, typed: str, units: SchoolUnits) -> Decimal | None:
    """What was typed of a length, in mm; None if nothing was."""
    if not typed.strip():
        return None
    try:
        found_mm = millimetres(read_number(in_decimals(typed), units.length), units.length).quantize(SMALLEST)
    except NotUnderstood as wrong:
        raise NotPlanned(wrong.sentence) from wrong
    if not 0 < found_mm <= MOST_MM[name]:
        words = {"typed": typed[:20], "most": length(MOST_MM[name], units)}
        sentence = {
            "thick_mm": _("“%(typed)s” cannot be the thickness of a sprue. Write more than 0 and at most %(most)s."),
            "long_mm": _("“%(typed)s” cannot be the length of a sprue. Write more than 0 and at most %(most)s."),
        }[name]
        raise NotPlanned(sentence % words)
    return found_mm
