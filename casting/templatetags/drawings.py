"""The drawings of a plan in a template."""

from __future__ import annotations

from collections.abc import Sequence

from django import template
from django.utils import timezone
from django.utils.safestring import SafeString

from casting.calc.values.day_input import Segment
from casting.drawings.board_flask import (
    SMALL_PX_PER_MM,
    Marks,
    draw_from_the_side,
    draw_loose_wax,
    draw_on_board,
    draw_size,
)
from casting.drawings.firing_curve import draw_firing_curve
from casting.drawings.flask import draw_flask
from casting.drawings.flask_thumbnail import ON_SCREEN, draw_small_flask
from casting.drawings.kiln_shelf import draw_kiln_shelf
from casting.drawings.measures import draw_measures, draw_tag
from casting.drawings.months import draw_months
from casting.drawings.night_curve import draw_night_curve
from casting.drawings.own_wax import draw_own_wax
from casting.drawings.rule_groups import draw_rule_group
from casting.drawings.spread import draw_spread
from casting.drawings.timetable import draw_timetable
from casting.drawings.tree import draw_tree
from casting.presenters import formats
from casting.presenters.board import BoardPage, EmptyFlask, LooseWax
from casting.presenters.board_beside import FlaskBeside
from casting.presenters.formats import SchoolUnits
from casting.presenters.looking_back.learned import Line
from casting.presenters.looking_back.year_page import Plot
from casting.presenters.plan_sheet import FlaskSheet, KilnNight, PlanSheet
from casting.presenters.running.kiln_room import KilnNow
from casting.presenters.wax_in_flask import WaxInFlask

register = template.Library()

SCREEN_CURVE_MM = 34.0
"""A kiln's curve on a screen, where nothing has to fit a sheet."""


@register.simple_tag
def flask_drawing(flask: FlaskSheet, units: SchoolUnits) -> SafeString:
    """The flask from the wax side; a tree from the side and tier by tier."""
    return draw_tree(flask, units) if flask.tiers else draw_flask(flask, units)


@register.simple_tag
def small_flask_drawing(flask: FlaskSheet, units: SchoolUnits) -> SafeString:
    """The flask from the wax side at a third of its size; a tree from the side and tier by tier."""
    return draw_small_flask(flask, units)


@register.simple_tag
def flask_beside_drawing(beside: FlaskBeside, units: SchoolUnits) -> SafeString:
    """A flask of two plans side by side, with the waxes marked that stand elsewhere in the other."""
    return draw_small_flask(beside.sheet, units, ON_SCREEN, beside.marked)


@register.simple_tag
def wax_measures_drawing(of: str = "ring") -> SafeString:
    """A piece on its sprue with the three dimensions that are asked for: ring, pendant, brooch or free form."""
    return draw_measures(of)


@register.simple_tag
def tag_drawing(tag: str) -> SafeString:
    """A flag on a sprue with its tag."""
    return draw_tag(tag)


@register.simple_tag
def own_wax_drawing(found: WaxInFlask) -> SafeString:
    """The flask of a student's wax, in which no other wax has a name."""
    return draw_own_wax(found)


@register.simple_tag
def kiln_shelf_drawing(night: KilnNight, units: SchoolUnits | None = None) -> SafeString:
    """The kiln's shelf from above, with temperatures if units are given."""
    if units is None:
        return draw_kiln_shelf(night)
    return draw_kiln_shelf(night, lambda celsius: formats.degrees(celsius, units))


@register.simple_tag
def kiln_map_drawing(night: KilnNight) -> SafeString:
    """The kiln's shelf from above, large, without temperatures: a table beside it has them."""
    return draw_kiln_shelf(night, near=True)


@register.simple_tag
def timetable_drawing(plan: PlanSheet, units: SchoolUnits) -> SafeString:
    """The whole day on one clock axis, as a screen shows it at this moment."""
    return draw_timetable(
        plan, lambda celsius: formats.degrees(celsius, units), curve_mm=SCREEN_CURVE_MM, now=timezone.now()
    )


@register.simple_tag
def night_curve_drawing(kiln: KilnNow, units: SchoolUnits) -> SafeString:
    """A kiln's curve with what was read and where the clock stands."""
    read = [(one.at, one.celsius) for one in kiln.readings]
    return draw_night_curve(kiln.night, lambda celsius: formats.degrees(celsius, units), read, kiln.now, kiln.shift)


@register.simple_tag
def rule_group_drawing(slug: str) -> SafeString:
    """What the house rules of a heading measure; nothing where that is no length and no time."""
    return draw_rule_group(slug)


@register.simple_tag
def firing_curve_drawing(segments: Sequence[Segment], units: SchoolUnits) -> SafeString:
    """A firing's degrees over its hours, as it is written."""
    return draw_firing_curve(segments, units)


@register.simple_tag
def spread_drawing(line: Line) -> SafeString:
    """Past figures as they lie, with their median and the default in use."""
    return draw_spread(line)


@register.simple_tag
def months_drawing(plot: Plot) -> SafeString:
    """A figure over the months of a year."""
    return draw_months(plot)


@register.simple_tag
def learned_words(line: Line, value: float) -> str:
    """A figure of such a line with its unit."""
    return line.words(value)


@register.simple_tag
def board_drawing(board: BoardPage, flask: FlaskSheet, view: str = "", in_hand: str = "") -> SafeString:
    """A flask at the board's scale: from the wax side, from the `button` or from the `side`; a tree tier by tier.

    Above the tiers of a tree an empty one waits for a wax.
    """
    if view == "side":
        return draw_from_the_side(flask, board.units)
    marks, behind = Marks(board.pinned, board.moved, in_hand), view == "button"
    if not flask.tiers:
        return draw_on_board(flask, flask.waxes, marks, from_button=behind)
    rings = [*(tier.waxes for tier in flask.tiers), *([] if behind else [()])]
    return SafeString(
        "".join(
            draw_on_board(flask, one, marks, tier=nth, from_button=behind) for nth, one in enumerate(rings, start=1)
        )
    )


@register.simple_tag
def loose_drawing(wax: LooseWax, in_hand: str = "") -> SafeString:
    """A wax that stands in no flask, at the board's scale."""
    return draw_loose_wax(wax.name, (wax.wide_mm, wax.deep_mm), Marks(in_hand=in_hand))


@register.simple_tag
def size_drawing(size: EmptyFlask, px_per_mm: float = SMALL_PX_PER_MM) -> SafeString:
    """How wide an empty flask is beside others."""
    return draw_size(size.diameter_mm, px_per_mm)
