"""A kiln's shelf from above, its flasks to scale, the door below."""

from __future__ import annotations

from collections.abc import Callable

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from casting.drawings.svg import HOT, QUIET, circle, drawing, element, line, text
from casting.presenters.from_memory import flask_c_mark
from casting.presenters.plan_sheet import FlaskSheet, KilnNight

MARGIN_MM = 14.0
BELOW_MM = 38.0
USUAL_MM = 356.0
"""A kiln this wide has the type of its drawing as given here; in a wider one it grows with it."""
LETTER_MM = 42.0
"""The label of a flask without a temperature, as large as the smallest flask takes."""
SCALE = 0.1
"""One to ten, so that a shelf stands beside its firing table."""


def draw_kiln_shelf(night: KilnNight, degrees: Callable[[float], str] | None = None, near: bool = False) -> SafeString:
    """Return the chamber from above; each flask with its label, and with its temperature if asked.

    On a page of its own, seen from `near`, labels need not fill their flasks.
    """
    kiln = night.kiln
    floor = MARGIN_MM + kiln.depth_mm
    # Every kiln is drawn equally wide; without temperatures, small beside the firing table.
    larger = max(1.0, kiln.width_mm / USUAL_MM)
    letter_mm = min(LETTER_MM, 28.0 * larger) if near else LETTER_MM
    door_mm = (34.0 if degrees is None else 22.0) * larger
    children = [
        element(
            "rect",
            x=MARGIN_MM,
            y=MARGIN_MM,
            width=kiln.width_mm,
            height=kiln.depth_mm,
            fill="none",
            stroke=QUIET,
            stroke_width=1.2,
            class_="quiet",
        ),
        line(MARGIN_MM, floor, MARGIN_MM + kiln.width_mm, floor, stroke_width=3.5),
        text(MARGIN_MM + kiln.width_mm / 2, floor + 4 + door_mm * 0.8, _("door"), door_mm, text_anchor="middle"),
    ]
    for flask in night.flasks:
        children += _flask(flask, MARGIN_MM + flask.kiln_x_mm, floor - flask.kiln_y_mm, degrees, letter_mm)
    labels = ", ".join(flask.label if flask.to_pour else f"{flask.label} ({flask.over_word})" for flask in night.flasks)
    return drawing(
        children,
        title=_("Shelf of %(kiln)s from above with the flasks %(labels)s") % {"kiln": kiln.called, "labels": labels},
        width_mm=kiln.width_mm + 2 * MARGIN_MM,
        height_mm=kiln.depth_mm + MARGIN_MM + BELOW_MM * larger,
        class_="kiln-shelf",
        scale=SCALE,
    )


def _flask(
    flask: FlaskSheet, x: float, y: float, degrees: Callable[[float], str] | None, letter_mm: float
) -> list[SafeString]:
    """A flask's outside with its label; below it its temperature, if asked, no wider than the flask.

    One that is poured or lost is left alone there: its ring is broken and crossed, and a word says so if there is room.
    """
    outside = circle(x, y, flask.size.outside_mm, stroke_width=1.4)
    if not flask.to_pour:
        outside = circle(x, y, flask.size.outside_mm, stroke_width=1.4, stroke_dasharray="5 4")
        reach = flask.size.outside_mm * 0.36
        outside += line(x - reach, y + reach, x + reach, y - reach, stroke_width=1.4)
    if degrees is None:
        return [outside, text(x, y + 0.36 * letter_mm, flask.label, letter_mm, text_anchor="middle", font_weight="700")]
    words = flask.over_word if not flask.to_pour else degrees(flask.flask_c) + flask_c_mark(flask)
    size = min(14.0, 1.45 * flask.size.outside_mm / len(words))
    return [
        outside,
        text(x, y + 1, flask.label, 26, text_anchor="middle", font_weight="700"),
        text(x, y + 15, words, size, text_anchor="middle", fill=HOT, class_="heat"),
    ]
