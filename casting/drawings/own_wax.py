"""A flask as a student sees it: the own wax by its tag, the others of the flask as outlines without a name."""

from __future__ import annotations

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from casting.calc.values.day_plan import TreePlace
from casting.drawings.flask import draw_notch, draw_wax, outline, sprue_to
from casting.drawings.svg import INK, QUIET, circle, drawing, element
from casting.presenters.plan_sheet import WaxOnBase
from casting.presenters.wax_in_flask import WaxInFlask

SIDE_MM = 1.0
ABOVE_MM = 3.0
TAG_MM = 7.0


def draw_own_wax(found: WaxInFlask) -> SafeString:
    """Return the flask from the wax side, its notch at 12 o'clock; of a tree the tier of the wax."""
    flask, own = found.flask, found.on_base
    diameter = flask.size.diameter_mm
    x, y = SIDE_MM + diameter / 2, ABOVE_MM + diameter / 2
    middle_mm = flask.trunk.thick_mm if flask.trunk else flask.size.hub_mm
    beside = [other for other in flask.waxes if other is not own and _tier(other) == _tier(own)]
    quiet: dict[str, str | float] = {"fill": "none", "stroke": QUIET, "class_": "quiet"}
    title = _("Flask %(label)s from the wax side, notch at 12 o'clock, with your wax %(tag)s")
    return drawing(
        [
            circle(x, y, diameter, stroke_width=0.8),
            element("path", d=draw_notch(x, ABOVE_MM), fill=INK, class_="solid"),
            circle(x, y, middle_mm, stroke=QUIET, stroke_width=0.35, class_="quiet"),
            *(outline(other, x, y, **quiet) for other in beside),
            *sprue_to(own, x, y, middle_mm),
            *draw_wax(own, x, y, TAG_MM),
        ],
        title=title % {"label": flask.label, "tag": own.name.tag},
        width_mm=diameter + 2 * SIDE_MM,
        height_mm=diameter + ABOVE_MM + SIDE_MM,
        class_="own-wax",
    )


def _tier(on_base: WaxOnBase) -> int:
    """The tier that a wax stands on; 0 on a cone."""
    return on_base.place.tier if isinstance(on_base.place, TreePlace) else 0
