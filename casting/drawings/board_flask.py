"""Flasks and waxes on the board: one scale for all, every wax a link that can be picked up."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from casting.calc.geometry.shapes import corners
from casting.drawings.flask import draw_notch, from_behind
from casting.drawings.svg import circle, element, line, number, text
from casting.presenters.formats import SchoolUnits
from casting.presenters.lengths import short_down
from casting.presenters.plan_sheet import FlaskSheet, WaxName, WaxOnBase, outline_of

BOARD = "on-board"
"""The class of every drawing here."""
PX_PER_MM = 3.0
"""Of every drawing on the board: 51 mm across is 153 px, 102 mm is 306."""
SMALL_PX_PER_MM = 0.4
"""Of empty flasks in a row above the others."""
RIM_MM = 4.0
"""Around a flask, for its notch and a tag that stands out."""
TAG_MM = 5.0
"""15 px: readable at arm's length on a tablet."""
HIT_MM = 8.2
"""Half of what a finger needs, a little over 48 px."""


@dataclass(frozen=True, slots=True)
class Marks:
    """What a drawing says of its waxes: which the teacher keeps, which have moved, which one is in hand."""

    kept: Collection[str] = field(default_factory=frozenset)
    moved: Collection[str] = field(default_factory=frozenset)
    in_hand: str = ""


def draw_on_board(
    flask: FlaskSheet, waxes: Sequence[WaxOnBase], marks: Marks, *, tier: int = 0, from_button: bool = False
) -> SafeString:
    """Return a flask, or one tier of a tree, from the wax side; `from_button` mirrored, as after the quench.

    A tier without waxes is the one above all, for a wax to be carried to.
    """
    radius = flask.size.diameter_mm / 2
    shown = [from_behind(on_base) for on_base in waxes] if from_button else list(waxes)
    trunk = flask.trunk.thick_mm if flask.trunk else 0.0
    hub = trunk or flask.size.hub_mm
    children = [
        circle(0, 0, 2 * radius, class_="outline" if waxes else "dashed"),
        element("path", d=draw_notch(0, -radius), class_="solid"),
        circle(0, 0, 2 * (radius - flask.wall_mm), class_="dashed"),
        circle(0, 0, hub, class_="dashed" if not trunk else "trunk"),
        *(_sprue(on_base, hub) for on_base in shown if math.hypot(on_base.place.x_mm, on_base.place.y_mm) > hub / 2),
        *(_wax(on_base, marks) for on_base in shown),
    ]
    half = radius + RIM_MM
    more = {} if from_button else {"data_spots": "1"} | ({"data_tier": str(tier)} if tier else {})
    title = _title(tier, waxes, from_button) % {"label": flask.label, "tier": tier}
    return _board_drawing(children, title, half, half, "round", **more)


def _title(tier: int, waxes: Sequence[WaxOnBase], from_button: bool) -> str:
    if tier and not waxes:
        return _("Flask %(label)s, a new tier %(tier)s")
    if tier and not from_button:
        return _("Flask %(label)s, tier %(tier)s from the wax side, notch at 12 o'clock")
    if from_button:
        return _("Flask %(label)s from the button side, notch at 12 o'clock")
    return _("Flask %(label)s from the wax side, notch at 12 o'clock")


def _board_drawing(
    children: Sequence[SafeString], title: str, half_wide: float, half_high: float, class_: str, **more: str
) -> SafeString:
    """A drawing about the axis, in mm, at the board's scale; one with `data_spots` takes a wax anywhere."""
    return element(
        "svg",
        element("title", escape(title)),
        *children,
        class_=f"drawing {BOARD} {class_}",
        role="group",
        viewBox=f"{number(-half_wide)} {number(-half_high)} {number(2 * half_wide)} {number(2 * half_high)}",
        width=number(2 * half_wide * PX_PER_MM),
        height=number(2 * half_high * PX_PER_MM),
        **more,
    )


def _sprue(on_base: WaxOnBase, hub_mm: float) -> SafeString:
    """The way of the metal from the cone, or the trunk, to a wax."""
    x, y = on_base.place.x_mm, -on_base.place.y_mm
    share = hub_mm / 2 / math.hypot(x, y)
    return element("line", x1=x * share, y1=y * share, x2=x, y2=y, class_="sprue")


def _wax(on_base: WaxOnBase, marks: Marks) -> SafeString:
    place = on_base.place
    return draw_held_wax(
        on_base.name,
        (on_base.wax.width_mm, on_base.wax.depth_mm),
        (place.x_mm, place.y_mm, place.turn_deg),
        marks,
    )


def draw_held_wax(
    name: WaxName, size_mm: tuple[float, float], spot: tuple[float, float, float], marks: Marks
) -> SafeString:
    """Return a wax on its spot as a link to what can be done with it, as large as a finger."""
    (wide, deep), (x, y, turn) = size_mm, spot
    tag, kept = escape(name.tag), name.tag in marks.kept
    classes = "wax" + " kept" * kept + " moved" * (name.tag in marks.moved) + " in-hand" * (name.tag == marks.in_hand)
    who = ", ".join(word for word in (name.piece, name.student) if word)
    said = escape(f"{name.tag}: {who}" if who else name.tag)
    left, up, right, down = (number(one) for one in (x - wide / 2, -y - deep / 2, x, -y))
    around = number(min(2.2, min(wide, deep) / 2.5))
    low, high = number(-y + TAG_MM * 0.36), number(TAG_MM)
    # Many stand on a board, and most of a page's time would go into elements made one by one.
    return mark_safe(  # noqa: S308 (what people typed is escaped above, the rest are numbers)
        f'<a id="wax-{tag}" href="?wax={tag}" class="{classes}" data-tag="{tag}"'
        f' data-spot="{right} {number(y)} {number(turn)}"><title>{said}</title>'
        f'<circle r="{HIT_MM}" cx="{right}" cy="{down}" class="touch"/>'
        f'<rect x="{left}" y="{up}" width="{number(wide)}" height="{number(deep)}" rx="{around}"'
        f' transform="rotate({number(-turn)} {right} {down})"/>'
        + (f'<path d="{_pin(x, -y)}" class="solid"/>' if kept else "")
        + f'<text x="{right}" y="{low}" font-size="{high}" class="tag">{tag}</text></a>'
    )


def _pin(x: float, y: float) -> str:
    """A small pin at the upper right of a kept wax's tag."""
    return f"M{number(x + 5)} {number(y - 5.4)}h2.6l-1.3 4z"


def draw_loose_wax(name: WaxName, size_mm: tuple[float, float], marks: Marks) -> SafeString:
    """Return a wax that stands in no flask, at the board's scale."""
    half_wide, half_high = max(size_mm[0] / 2, HIT_MM) + 0.6, max(size_mm[1] / 2, HIT_MM) + 0.6
    wax = draw_held_wax(name, size_mm, (0, 0, 0), marks)
    return _board_drawing([wax], _("Wax %(tag)s, from above") % {"tag": name.tag}, half_wide, half_high, "loose")


def draw_size(diameter_mm: float, px_per_mm: float = SMALL_PX_PER_MM) -> SafeString:
    """Return how wide an empty flask is beside others, small."""
    half = diameter_mm / 2
    return element(
        "svg",
        circle(half, half, diameter_mm - 2, stroke_width=2),
        class_="small-size",
        viewBox=f"0 0 {number(diameter_mm)} {number(diameter_mm)}",
        width=number(diameter_mm * px_per_mm),
        height=number(diameter_mm * px_per_mm),
    )


def draw_from_the_side(flask: FlaskSheet, units: SchoolUnits) -> SafeString:
    """Return the flask cut open, button below: its waxes as high as they are, and the cover over the tallest."""
    size, waxes = flask.size, sorted(flask.waxes, key=lambda on_base: -on_base.place.y_mm)
    half, high, usable = size.diameter_mm / 2, size.height_mm, size.diameter_mm / 2 - flask.wall_mm
    foot = high - size.base_mm
    top = flask.over_mm
    cone = f"M{number(-size.hub_mm / 2)} {number(high)}L0 {number(foot)}L{number(size.hub_mm / 2)} {number(high)}Z"
    over = _("%(cover)s above") % {"cover": short_down(top, units)}
    children = [
        element("rect", x=-half, y=0, width=2 * half, height=high, class_="outline"),
        element("path", d=cone, class_="thin"),
        line(-usable, 0, -usable, high, class_="dashed"),
        line(usable, 0, usable, high, class_="dashed"),
        line(-half, size.rim_mm, half, size.rim_mm, class_="dashed"),
        *(part for one in waxes for part in _upright(one, high, foot)),
        line(-half, top, half, top, class_="dashed"),
        text(0, max(top - 1.5, size.rim_mm + TAG_MM), over, TAG_MM, class_="tag"),
    ]
    title = _("Flask %(label)s from the side, button below") % {"label": flask.label}
    return element(
        "svg",
        element("title", escape(title)),
        *children,
        class_=f"drawing {BOARD} side",
        role="img",
        viewBox=f"{number(-half - RIM_MM)} {number(-RIM_MM)} {number(2 * (half + RIM_MM))} {number(high + 2 * RIM_MM)}",
        width=number(2 * (half + RIM_MM) * PX_PER_MM),
        height=number((high + 2 * RIM_MM) * PX_PER_MM),
    )


def _upright(on_base: WaxOnBase, high: float, foot: float) -> list[SafeString]:
    """A wax as wide as its corners show it from 6 o'clock, with its tag."""
    across = [spot[0] for spot in corners(outline_of(on_base), on_base.place)]
    low = high - getattr(on_base.place, "z_mm", high - foot)
    top, left = low - on_base.wax.height_mm, min(across)
    shape = element("rect", x=left, y=top, width=max(across) - left, height=on_base.wax.height_mm, class_="block")
    tag = text((left + max(across)) / 2, top + 6, on_base.name.tag, TAG_MM, class_="tag")
    return [shape, tag]
