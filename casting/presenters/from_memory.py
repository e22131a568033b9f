"""What stands after a figure of a plan: a star if somebody wrote it down from memory, else nothing.

A figure that follows from one of the shelf is marked like it: a quench's time like its minutes, a button like the
least of its flask. A charge and a kiln's clock follow from many figures and have no mark.
"""

from __future__ import annotations

from django.utils.translation import gettext as _

from casting.calc.values.day_input import Firing, Investment
from casting.calc.values.marked_text import FROM_MEMORY, mark
from casting.presenters.plan_sheet import FlaskSheet, KilnNight, SegmentLine
from casting.presenters.sheet_values import Part


def note() -> str:
    """Return what the mark means, for the foot of a sheet or page."""
    return _("%(star)s from memory: check the supplier's sheet.") % {"star": FROM_MEMORY[0]}


def flask_c_mark(flask: FlaskSheet) -> str:
    """Return what stands after a flask's temperature."""
    return mark(f"flask_c.{flask.section.value}", flask.alloy.from_memory)


def pour_c_mark(flask: FlaskSheet) -> str:
    """Return what stands after the temperature of a flask's metal."""
    return mark("pour_c", flask.alloy.from_memory)


def quench_mark(flask: FlaskSheet) -> str:
    """Return what stands after the time of a flask's quench; one with stones cools by the house's own hours."""
    return "" if flask.cools_in_air else mark("quench_min_by_diameter", flask.alloy.from_memory)


def gravity_mark(thing: FlaskSheet | Part) -> str:
    """Return what stands after the specific gravity of a flask's metal, or of a part of a wax."""
    return mark("specific_gravity", thing.alloy.from_memory if isinstance(thing, FlaskSheet) else thing.from_memory)


def share_mark(flask: FlaskSheet) -> str:
    """Return what stands after the share of the metal that a button takes."""
    heaviest = max((on_base.wax.section for on_base in flask.waxes), key=lambda section: section.step)
    return mark(f"button_pct.{heaviest.value}", flask.rules.from_memory)


def least_mark(flask: FlaskSheet) -> str:
    """Return what stands after the least button of a flask's width."""
    return mark("button_g_by_diameter", flask.rules.from_memory) or gravity_mark(flask)


def powder_mark(powder: Investment, figure: str) -> str:
    """Return what stands after a figure of the powder."""
    return mark(figure, powder.from_memory)


def ramp_mark(night: KilnNight, segment: SegmentLine) -> str:
    """Return what stands after a ramp: the kiln's own where it falls, or is no faster; else the firing's."""
    own = "cool_c_per_h" if segment.cooling else "max_ramp_c_per_h"
    return mark(own, night.kiln.from_memory) or segment.mark


def heat_mark(night: KilnNight, celsius: float) -> str:
    """Return what stands after a temperature of a kiln: that of a flask, or of its firing."""
    flasks = [flask_c_mark(flask) for flask in night.flasks if flask.flask_c == celsius]
    firing = [segment.mark for segment in night.segments if segment.to_c == celsius]
    return max(flasks + firing, default="")


def top_mark(firings: tuple[Firing, ...], celsius: float) -> str:
    """Return what stands after the top of the firings."""
    tops = [firing for firing in firings if any(segment.to_c == celsius for segment in firing.segments)]
    return max((mark("segments", firing.from_memory) for firing in tops), default="")
