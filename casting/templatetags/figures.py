"""Figures in a template; `presenters.formats` says how each is rounded."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.text import Truncator
from django.utils.timezone import now
from django.utils.translation import gettext as _

from casting.calc.values.enums import Section
from casting.papers.edition import Edition
from casting.presenters import formats, from_memory, lengths
from casting.presenters.figure_words import word_of
from casting.presenters.flask_heat import heat_lines, hot_core
from casting.presenters.near_clock import near_clock
from casting.presenters.plan_sheet import WaxOnBase
from casting.presenters.spilled import spill_lines
from casting.presenters.sprue import bench_note
from casting.units import Mass
from school.models import School

REASON_MOST = 40
"""Signs of a teacher's reason that a card has room for; the whole reason is among the plan's cautions."""

register = template.Library()

register.filter("grams", formats.grams)
register.filter("weighed", formats.weighed)
register.filter("in_full", formats.in_full)
register.filter("to_weigh", formats.to_weigh)
register.filter("weighed_on", formats.weighed_on)
register.filter("to_weigh_on", formats.to_weigh_on)
register.filter("computed_on", lambda weight_g, units: formats.computed_to_read([weight_g], units)[0])
register.filter("money", formats.money)
register.filter("decimals", formats.decimals)
register.filter("plain", formats.plain)
register.filter("flask_size", lengths.flask_size)
register.filter("across", lengths.across)
register.filter("length_of", lengths.length)
register.filter("length_down", lengths.length_down)
register.filter("degrees", formats.degrees)
register.filter("degrees_number", formats.degrees_number)
register.filter("ramp", formats.ramp)
register.filter("minutes", formats.minutes)
register.filter("word_of", word_of)
register.filter("each_with", lambda heads, cells: zip(heads, cells, strict=True))
register.filter("clock", formats.clock_time)
register.filter("hour_minute", formats.hour_minute)
register.filter("first_or_second", formats.first_or_second)
register.filter("day_clock", formats.day_clock)
register.filter("near_clock", lambda at: near_clock(at, now()))
register.filter("near_pour", lambda at, day: near_clock(at, day.pour_at))
register.filter("weekday", formats.weekday)
register.filter("day_date", formats.day_date)
register.filter("stamp", formats.stamp)
register.filter("on_clock_of", formats.on_clock_of)
register.filter("w3c_time", formats.w3c_time)
register.filter("spill_lines", spill_lines)
register.filter("flask_c_mark", from_memory.flask_c_mark)
register.filter("pour_c_mark", from_memory.pour_c_mark)
register.filter("quench_mark", from_memory.quench_mark)
register.filter("gravity_mark", from_memory.gravity_mark)
register.filter("share_mark", from_memory.share_mark)
register.filter("least_mark", from_memory.least_mark)
register.filter("powder_mark", from_memory.powder_mark)
register.filter("ramp_mark", from_memory.ramp_mark)
register.filter("heat_mark", from_memory.heat_mark)


@register.filter
def section_for(section: str, school: School) -> str:
    """Return the thinnest part of a wax in words, its ends in a school's unit."""
    return lengths.section_in_words(Section(section), formats.units_of(school))


@register.filter
def weighed_for(weight_g: float | Decimal, school: School) -> str:
    """Return the weight of a wax in a school's unit, with its grams."""
    return formats.weighed_beside(weight_g, formats.units_of(school))


@register.simple_tag
def wax_weight(wax_g: float | Decimal, school: School, entered: str = "", entered_unit: str = "") -> str:
    """The weight of a wax as `weighed_for`; one that was typed in another unit as it was typed, and in grams."""
    if entered_unit and entered_unit != Mass.GRAM:
        return f"{entered} {entered_unit} = {formats.weighed(wax_g)}"
    return weighed_for(wax_g, school)


@register.filter
def grams_for(weight_g: float | Decimal, school: School) -> str:
    """Return a computed weight in a school's unit, with its grams."""
    return formats.grams_beside(weight_g, formats.units_of(school))


@register.filter
def length_for(length_mm: float, school: School) -> str:
    """Return a length in a school's unit."""
    return lengths.length(float(length_mm), formats.units_of(school))


@register.filter
def sprue_note(on_base: WaxOnBase, units: formats.SchoolUnits) -> str:
    """The sprues that a wax asks for in a few words; nothing if nobody measured its thickest part."""
    return bench_note(on_base.wax, on_base.parts[0].specific_gravity, units)


@register.simple_tag
def reach_note(on_base: WaxOnBase, units: formats.SchoolUnits) -> str:
    """How far a foot stands beyond the sprue's reach, and why the teacher allowed it; nothing within the reach."""
    if not on_base.reach_reason:
        return ""
    beyond = lengths.length(on_base.beyond_reach_mm, units)
    words = {"beyond": beyond, "reason": Truncator(on_base.reach_reason).chars(REASON_MOST)}
    return _("foot %(beyond)s beyond the sprue's reach: %(reason)s") % words


register.simple_tag(heat_lines, name="heat_lines")
register.simple_tag(hot_core, name="hot_core")


@register.simple_tag
def weight(weight_g: float, units: formats.SchoolUnits) -> SafeString:
    """What is to be weighed out: bold as the school's scale shows it, small in grams beside it if that is another."""
    first, beside = formats.weight_to_read(weight_g, units)
    return format_html("<b>{}</b> <small>{}</small>", first, beside) if beside else format_html("<b>{}</b>", first)


@register.simple_tag
def metal_weight(weights_g: Sequence[float], units: formats.SchoolUnits) -> SafeString:
    """Computed metal together: bold in the school's own unit, its grams below it if that is another."""
    first, below = formats.computed_to_read(weights_g, units)
    return format_html("<b>{}</b><br>{}", first, below) if below else format_html("<b>{}</b>", first)


@register.simple_tag
def printed_at(edition: Edition, school: School) -> str:
    """When a sheet was first printed, on the school's clock; nothing for a preview."""
    at = edition.printed_at
    return _("First printed %(at)s.") % {"at": formats.on_clock_of(at, school)} if at else ""
