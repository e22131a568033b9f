"""A plan's figures and drawings in a template; what they look like is said in `shown` and `drawings`."""

from __future__ import annotations

from django import template
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from casting import drawings
from casting.papers.edition import edition_now
from casting.presenters import formats
from casting.presenters.formats import SchoolUnits
from casting.presenters.plan_sheet import FlaskSheet, KilnNight, PlanSheet
from school.models import School

register = template.Library()

register.filter("grams", formats.grams)
register.filter("money", formats.money)
register.filter("to_weigh", formats.to_weigh)
register.filter("decimals", formats.decimals)
register.filter("plain", formats.plain)
register.filter("decimals_down", formats.decimals_down)
register.filter("degrees_number", formats.degrees_number)
register.filter("other_weight", formats.other_weight)
register.filter("degrees", formats.degrees)
register.filter("ramp", formats.ramp)
register.filter("clock", formats.clock_time)
register.filter("day_clock", formats.day_clock)
register.filter("weekday", formats.weekday)
register.filter("long_date", formats.long_date)
register.filter("stamp", formats.stamp)
register.filter("w3c_time", formats.w3c_time)
register.filter("flask_size", formats.flask_size)
register.filter("minutes", formats.minutes)


@register.simple_tag
def printed_at(school: School) -> str:
    """When a sheet was first printed, on the school's clock; nothing for a look at it."""
    at = edition_now().printed_at
    return _("First printed %(at)s.") % {"at": formats.stamp(at.astimezone(school.tz))} if at else ""


@register.simple_tag
def flask_drawing(flask: FlaskSheet, mirrored: bool = False) -> SafeString:
    """The flask from the wax side; mirrored, from the button side. A tree from the side and tier by tier."""
    return drawings.draw_tree(flask, mirrored) if flask.tiers else drawings.draw_flask(flask, mirrored)


@register.simple_tag
def small_tree_drawing(flask: FlaskSheet) -> SafeString:
    """A tree at a third of its size, from the side and tier by tier."""
    return drawings.draw_tree(flask, small=True)


@register.simple_tag
def small_flask_drawing(flask: FlaskSheet) -> SafeString:
    """The flask from the wax side at a third of its size."""
    return drawings.draw_small_flask(flask)


@register.simple_tag
def kiln_shelf_drawing(night: KilnNight, units: SchoolUnits | None = None) -> SafeString:
    """The kiln's shelf from above, with temperatures if units are given."""
    if units is None:
        return drawings.draw_kiln_shelf(night)
    return drawings.draw_kiln_shelf(night, lambda celsius: formats.degrees(celsius, units))


@register.simple_tag
def kiln_map_drawing(night: KilnNight) -> SafeString:
    """The kiln's shelf from above, large; its temperatures stand in a table beside it."""
    return drawings.draw_kiln_shelf(night, near=True)


@register.simple_tag
def firing_drawing(night: KilnNight, plan: PlanSheet, units: SchoolUnits) -> SafeString:
    """The kiln's temperature over the clock."""
    return drawings.draw_firing(night, plan, lambda celsius: formats.degrees(celsius, units))


@register.simple_tag
def timetable_drawing(plan: PlanSheet, units: SchoolUnits) -> SafeString:
    """The whole day on one clock axis."""
    return drawings.draw_timetable(plan, lambda celsius: formats.degrees(celsius, units))
