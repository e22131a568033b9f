"""A flask from the wax side or from the button side, at true scale."""

from __future__ import annotations

import math
from dataclasses import replace

from django.utils.html import escape
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from casting.calc.values.day_plan import Place
from casting.drawings.svg import INK, QUIET, WAX, circle, drawing, element, line, number, text
from casting.presenters.formats import SchoolUnits
from casting.presenters.lengths import across
from casting.presenters.plan_sheet import FlaskSheet, WaxOnBase

SIDE_MM = 1.5
ABOVE_MM = 7.6
BELOW_MM = 1.5
UPRIGHT_MM = 7.5
"""A wax at least this deep carries its tag upright; on a narrower one it runs along."""


def draw_flask(flask: FlaskSheet, units: SchoolUnits, mirrored: bool = False) -> SafeString:
    """Return the flask as it is seen when the waxes point at you, its notch at 12 o'clock.

    Mirrored, it is seen from the other end, where the metal goes in; the notch stays at 12.
    """
    diameter = flask.size.diameter_mm
    waxes = [from_behind(on_base) for on_base in flask.waxes] if mirrored else flask.waxes
    x, y = SIDE_MM + diameter / 2, ABOVE_MM + diameter / 2
    children = [
        *_dimension(diameter, x, across(diameter, units)),
        circle(x, y, diameter, stroke_width=0.5),
        element("path", d=draw_notch(x, ABOVE_MM), fill=INK, class_="solid"),
        circle(x, y, diameter - 2 * flask.wall_mm, stroke=QUIET, stroke_dasharray="1.4 1.2", class_="quiet"),
        circle(x, y, flask.size.hub_mm, stroke=QUIET, stroke_width=0.25, class_="quiet"),
        circle(x, y, flask.size.hub_mm / 3, stroke=QUIET, stroke_width=0.15, class_="quiet"),
        *(sprue for on_base in waxes for sprue in sprue_to(on_base, x, y, flask.size.hub_mm)),
        *(shape for on_base in waxes for shape in draw_wax(on_base, x, y)),
    ]
    tags = ", ".join(on_base.name.tag for on_base in flask.waxes)
    title = (
        _("Flask %(label)s from the button side, notch at 12 o'clock, with the waxes %(tags)s")
        if mirrored
        else _("Flask %(label)s from the wax side, notch at 12 o'clock, with the waxes %(tags)s")
    )
    return drawing(
        children,
        title=title % {"label": flask.label, "tags": tags},
        width_mm=diameter + 2 * SIDE_MM,
        height_mm=diameter + ABOVE_MM + BELOW_MM,
        class_="flask",
    )


def from_behind(on_base: WaxOnBase) -> WaxOnBase:
    """The wax as it stands when the flask is turned over about the line through its notch."""
    place = on_base.place
    return replace(on_base, place=Place(-place.x_mm, place.y_mm, -place.turn_deg))


def _dimension(diameter: float, x: float, words: str) -> list[SafeString]:
    """The line with the inside diameter, above the flask."""
    left, right, at = x - diameter / 2, x + diameter / 2, 4.0
    return [
        line(left, at, right, at, stroke=QUIET, class_="quiet"),
        line(left, at - 1.5, left, at + 1.5, stroke=QUIET, class_="quiet"),
        line(right, at - 1.5, right, at + 1.5, stroke=QUIET, class_="quiet"),
        text(x, at - 0.9, words, 3.1, text_anchor="middle"),
    ]


def draw_notch(x: float, top: float) -> str:
    """A small wedge on the flask's edge at 12 o'clock."""
    return f"M{number(x - 1.6)} {number(top - 2.6)}H{number(x + 1.6)}L{number(x)} {number(top + 0.3)}Z"


def sprue_to(on_base: WaxOnBase, x: float, y: float, hub_mm: float, wide_mm: float = 1.4) -> list[SafeString]:
    """The way of the metal from the cone's rim to the foot of a wax that stands beyond it."""
    foot_x, foot_y = on_base.place.x_mm, on_base.place.y_mm
    reach = math.hypot(foot_x, foot_y)
    if reach <= hub_mm / 2:
        return []
    share = hub_mm / 2 / reach
    start = x + foot_x * share, y - foot_y * share
    return [line(*start, x + foot_x, y - foot_y, stroke_width=wide_mm)]


def draw_wax(on_base: WaxOnBase, x: float, y: float, tag_mm: float | None = None) -> list[SafeString]:
    """The wax as its rectangle, with its tag, upright if it has a size."""
    wax, place = on_base.wax, on_base.place
    foot_x, foot_y = x + place.x_mm, y - place.y_mm
    short, long = sorted((wax.width_mm, wax.depth_mm))
    shape = outline(on_base, x, y, rx=min(2.2, short / 2.5))
    along = -place.turn_deg + (90 if wax.depth_mm > wax.width_mm else 0)
    angle = 0.0 if tag_mm or short >= UPRIGHT_MM else (along + 90) % 180 - 90
    size = tag_mm or min(4.4, max(2.4, short * 0.8), max(2.4, long * 0.45))
    tag = text(
        foot_x,
        foot_y + size * 0.34,
        on_base.name.tag,
        size,
        text_anchor="middle",
        font_weight="700",
        transform=f"rotate({number(angle)} {number(foot_x)} {number(foot_y)})",
    )
    return [element("g", element("title", escape(_label(on_base))), shape, tag)]


def outline(on_base: WaxOnBase, x: float, y: float, **look: str | float) -> SafeString:
    """The rectangle of a wax where it stands, seen from above. The plan turns anticlockwise, SVG clockwise."""
    wax, place = on_base.wax, on_base.place
    foot_x, foot_y = x + place.x_mm, y - place.y_mm
    usual: dict[str, str | float] = {"fill": WAX, "stroke": INK, "stroke_width": 0.35, "class_": "wax"}
    return element(
        "rect",
        x=foot_x - wax.width_mm / 2,
        y=foot_y - wax.depth_mm / 2,
        width=wax.width_mm,
        height=wax.depth_mm,
        transform=f"rotate({number(-place.turn_deg)} {number(foot_x)} {number(foot_y)})",
        **(usual | look),
    )


def _label(on_base: WaxOnBase) -> str:
    """What a wax is called when the pointer rests on it."""
    name = on_base.name
    return " ".join(word for word in (name.tag, name.student, name.piece) if word)
