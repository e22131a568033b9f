"""A flask at a third of its size, for a table of many: which wax stands where, and no more."""

from __future__ import annotations

from collections.abc import Collection

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from casting.drawings.flask import outline, sprue_to
from casting.drawings.svg import INK, QUIET, circle, drawing, element, number, text
from casting.drawings.tag_placement import HIGH, WIDE, Point, tag_spots
from casting.drawings.tree import draw_tree
from casting.presenters.formats import SchoolUnits
from casting.presenters.plan_sheet import FlaskSheet, WaxOnBase

SCALE = 1 / 3
ON_SCREEN = 2 / 3
"""Where its tags are read from a screen at arm's length."""
SPRUE_MM = 2.0
SIDE_MM = 2.0
ABOVE_MM = 7.0
TAG_MM = 7.2
"""Type of a tag in mm of the real thing: 2.4 mm on paper, whatever the wax."""

PAPER = "#ffffff"


def draw_small_flask(
    flask: FlaskSheet, units: SchoolUnits, scale: float = SCALE, marked: Collection[str] = ()
) -> SafeString:
    """Return the flask from the wax side, its notch at 12 o'clock, every tag upright; `marked` are tags that stand out.

    A tree has its tiers drawn one by one, by `draw_tree`.
    """
    if flask.tiers:
        return draw_tree(flask, units, small=True)
    diameter = flask.size.diameter_mm
    x, y = SIDE_MM + diameter / 2, ABOVE_MM + diameter / 2
    notch = f"M{number(x - 4)} {number(ABOVE_MM - 6.5)}H{number(x + 4)}L{number(x)} {number(ABOVE_MM + 0.5)}Z"
    spots = tag_spots(flask.waxes, diameter, TAG_MM)
    tags = ", ".join(on_base.name.tag for on_base in flask.waxes)
    small = _("Flask %(label)s at a third of its size, notch at 12 o'clock, with the waxes %(tags)s")
    larger = _("Flask %(label)s, notch at 12 o'clock, with the waxes %(tags)s")
    title = small if scale == SCALE else larger
    looks = {tag: {"class_": "marked"} for tag in marked}
    return drawing(
        [
            circle(x, y, diameter, stroke_width=1.2),
            element("path", d=notch, fill=INK, class_="solid"),
            circle(x, y, flask.size.hub_mm, stroke=QUIET, stroke_width=0.6, class_="quiet"),
            *(part for on_base in flask.waxes for part in sprue_to(on_base, x, y, flask.size.hub_mm, SPRUE_MM)),
            *(outline(one, x, y, stroke_width=0.7, **looks.get(one.wax.key, {})) for one in flask.waxes),
            *(part for on_base, spot in zip(flask.waxes, spots, strict=True) for part in _tag(on_base, spot, x, y)),
        ],
        title=title % {"label": flask.label, "tags": tags},
        width_mm=diameter + 2 * SIDE_MM,
        height_mm=diameter + ABOVE_MM + SIDE_MM,
        class_="small-flask",
        scale=scale,
    )


def _tag(on_base: WaxOnBase, spot: tuple[Point, bool], x: float, y: float) -> list[SafeString]:
    """The tag; where its wax does not hold it, on a bare patch, so that no line runs through it."""
    (right, up), held = spot
    tag, wide, high = on_base.name.tag, TAG_MM * WIDE * len(on_base.name.tag), TAG_MM * HIGH
    words = text(x + right, y - up + TAG_MM * 0.33, tag, TAG_MM, text_anchor="middle", font_weight="700")
    if held:
        return [words]
    corner = x + right - wide / 2, y - up - high / 2
    patch = element("rect", x=corner[0], y=corner[1], width=wide, height=high, fill=PAPER, fill_opacity=0.7)
    return [patch, words]
