"""A flask with a tree: its tiers from the wax side and the whole from the side, all at one scale."""

from __future__ import annotations

import math

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from casting.calc.geometry.shapes import corners
from casting.drawings.flask import draw_notch, draw_wax, from_behind
from casting.drawings.svg import INK, QUIET, WAX, circle, drawing, element, line, number, text
from casting.presenters.formats import SchoolUnits
from casting.presenters.lengths import short_length
from casting.presenters.plan_sheet import FlaskSheet, Tier, WaxOnBase, outline_of

PAD_MM = 2.0
HEAD_MM = 10.0
"""Above each view, for its words and the notch."""
WORDS_MM = 5.0
TAG_MM = 4.0
SMALL = 1 / 3
SMALL_WORDS_MM = 7.5
"""Type in mm of the real thing where a tree is drawn small: 2.5 mm on paper, 7.1 pt."""

DASHED: dict[str, str | float] = {
    "stroke": QUIET,
    "stroke_width": 0.2,
    "stroke_dasharray": "1.4 1.2",
    "class_": "quiet",
}


def draw_tree(flask: FlaskSheet, units: SchoolUnits, mirrored: bool = False, small: bool = False) -> SafeString:
    """Return the tree from the side, button below, then each tier from the wax side: one drawing each, at one scale.

    Mirrored, the tiers are seen from the end where the metal goes in; the notch stays at 12. Small, all
    are drawn at a third of their size.
    """
    views = [_side(flask, small), *(_tier(flask, tier, units, mirrored, small) for tier in flask.tiers)]
    return SafeString("".join(views))


def _view(
    flask: FlaskSheet, children: list[SafeString], title: str, words: str, high_mm: float, small: bool
) -> SafeString:
    head = text(PAD_MM, 6.5, words, SMALL_WORDS_MM if small else WORDS_MM, font_weight="700")
    return drawing(
        [head, *children],
        title=title,
        width_mm=flask.size.diameter_mm + 2 * PAD_MM,
        height_mm=high_mm + HEAD_MM + PAD_MM,
        class_="flask tree",
        scale=SMALL if small else 1,
    )


def _tier(flask: FlaskSheet, tier: Tier, units: SchoolUnits, mirrored: bool, small: bool) -> SafeString:
    """One tier in its flask, as `draw_flask` shows a base; the trunk in the middle, a sprue to each wax."""
    diameter, trunk_mm = flask.size.diameter_mm, flask.trunk.thick_mm if flask.trunk else 0.0
    waxes = [from_behind(on_base) for on_base in tier.waxes] if mirrored else tier.waxes
    x, y = PAD_MM + diameter / 2, HEAD_MM + diameter / 2
    figures = {"label": flask.label, "number": tier.number, "z": short_length(tier.z_mm, units)}
    tags = ", ".join(on_base.name.tag for on_base in tier.waxes)
    children = [
        circle(x, y, diameter, stroke_width=0.5),
        element("path", d=draw_notch(x, HEAD_MM), fill=INK, class_="solid"),
        circle(x, y, diameter - 2 * flask.wall_mm, **DASHED),
        *(_sprue_from_above(on_base, x, y, trunk_mm) for on_base in waxes),
        circle(x, y, trunk_mm, fill=WAX, stroke_width=0.5, class_="wax"),
        *(shape for on_base in waxes for shape in draw_wax(on_base, x, y, SMALL_WORDS_MM if small else None)),
    ]
    side = _("button side") if mirrored else _("wax side")
    title = _("Tier %(number)d of flask %(label)s from the %(side)s, notch at 12 o'clock, with the waxes %(tags)s")
    words = _("tier %(number)d, %(z)s up") % figures
    return _view(flask, children, title % {**figures, "tags": tags, "side": side}, words, diameter, small)


def _near(on_base: WaxOnBase) -> tuple[float, float]:
    """The point of a wax nearest the axis."""
    spots = corners(outline_of(on_base), on_base.place)
    return min((_foot(spots[i - 1], spots[i]) for i in range(4)), key=lambda spot: math.hypot(*spot))


def _foot(start: tuple[float, float], end: tuple[float, float]) -> tuple[float, float]:
    dx, dy = end[0] - start[0], end[1] - start[1]
    share = min(max(-(start[0] * dx + start[1] * dy) / max(dx * dx + dy * dy, 1e-9), 0.0), 1.0)
    return start[0] + share * dx, start[1] + share * dy


def _sprue_from_above(on_base: WaxOnBase, x: float, y: float, trunk_mm: float) -> SafeString:
    near_x, near_y = _near(on_base)
    share = trunk_mm / 2 / max(math.hypot(near_x, near_y), 1e-9)
    return line(x + near_x * share, y - near_y * share, x + near_x, y - near_y, stroke_width=1.4)


def _side(flask: FlaskSheet, small: bool) -> SafeString:
    """The flask cut open, seen from 6 o'clock: cone, trunk, sprues, waxes, tiers by number."""
    size, trunk = flask.size, flask.trunk
    assert trunk is not None
    left, x, top, floor = PAD_MM, PAD_MM + size.diameter_mm / 2, HEAD_MM, HEAD_MM + size.height_mm
    usable, cone, full = size.diameter_mm - 2 * flask.wall_mm, floor - size.base_mm, top + size.rim_mm
    far_first = sorted(
        ((tier, on_base) for tier in flask.tiers for on_base in tier.waxes), key=lambda one: -one[1].place.y_mm
    )
    hub = f"M{number(x - size.hub_mm / 2)} {number(floor)}L{number(x - trunk.thick_mm / 2)} {number(cone)}"
    hub += f"H{number(x + trunk.thick_mm / 2)}L{number(x + size.hub_mm / 2)} {number(floor)}Z"
    children = [
        _box(left, top, size.diameter_mm, size.height_mm, fill="none", stroke=INK, stroke_width=0.5, class_="ink"),
        _box(x - usable / 2, full + size.cover_mm, usable, cone - full - size.cover_mm, fill="none", **DASHED),
        line(left, full, left + size.diameter_mm, full, **DASHED),
        element("path", d=hub, fill="none", stroke=INK, stroke_width=0.35, class_="ink"),
        *(_sprue_from_side(flask, tier, on_base, x, floor) for tier, on_base in far_first),
        _block(x - trunk.thick_mm / 2, cone - trunk.long_mm, trunk.thick_mm, trunk.long_mm),
        *(part for tier, on_base in far_first for part in _wax_from_side(tier, on_base, x, floor, small)),
        *(words for tier in flask.tiers for words in _height(tier, left, floor, small)),
    ]
    title = _("Flask %(label)s with its tree from the side, button below, tiers numbered from the button")
    return _view(flask, children, title % {"label": flask.label}, _("from the side"), size.height_mm, small)


def _box(x: float, y: float, width: float, height: float, **look: str | float) -> SafeString:
    return element("rect", x=x, y=y, width=width, height=height, **look)


def _block(x: float, y: float, width: float, height: float) -> SafeString:
    return _box(x, y, width, height, fill=WAX, stroke=INK, stroke_width=0.35, class_="wax")


def _wax_from_side(tier: Tier, on_base: WaxOnBase, x: float, floor: float, small: bool) -> list[SafeString]:
    """A wax as wide as its corners show it from 6 o'clock; its tag if it stands on this side and is wide enough."""
    across = [spot[0] for spot in corners(outline_of(on_base), on_base.place)]
    left, width, high = x + min(across), max(across) - min(across), on_base.wax.height_mm
    shape = _block(left, floor - tier.z_mm - high, width, high)
    if small or on_base.place.y_mm > -1 or width < TAG_MM * len(on_base.name.tag) * 0.62:
        return [shape]
    middle = floor - tier.z_mm - high / 2
    return [shape, text(left + width / 2, middle + 1.4, on_base.name.tag, TAG_MM, text_anchor="middle")]


def _sprue_from_side(flask: FlaskSheet, tier: Tier, on_base: WaxOnBase, x: float, floor: float) -> SafeString:
    """From the wax's near face down to the trunk, by the least gap."""
    near_x, near_y = _near(on_base)
    trunk_mm, fall_mm = (flask.size.trunk_mm or 0.0), (flask.size.trunk_gap_mm or 0.0)
    share = trunk_mm / 2 / max(math.hypot(near_x, near_y), 1e-9)
    low = floor - tier.z_mm
    return line(x + near_x * share, low + fall_mm, x + near_x, low - 1, stroke_width=1.4)


def _height(tier: Tier, left: float, floor: float, small: bool) -> list[SafeString]:
    """Where a tier begins, by its number against the flask's left side."""
    at = floor - tier.z_mm
    return [
        line(left, at, left + 5, at, stroke_width=0.35),
        text(left + 1, at - 1.2, str(tier.number), SMALL_WORDS_MM if small else WORDS_MM, font_weight="700"),
    ]
