"""The saw-off map: each flask as the saw sees it, button side up, its pieces numbered in the order of the cuts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from casting.calc.advice.cutting_order import Standing, cutting_order
from casting.drawings.flask import draw_flask
from casting.drawings.flask_thumbnail import draw_small_flask
from casting.papers.print_job import PlanPrintJob
from casting.presenters.formats import SchoolUnits
from casting.presenters.plan_sheet import FlaskSheet, WaxOnBase


@dataclass(frozen=True, slots=True)
class SawOff:
    """A flask with its map; `known` tells whether nobody can mistake the piece that is cut first."""

    flask: FlaskSheet
    map: SafeString
    cuts: Sequence[tuple[int, WaxOnBase]]
    known: bool


def saw_off_html(job: PlanPrintJob) -> str | None:
    """Return the page of the saw-off map; None if the plan has no flask."""
    sheet = job.opened.sheet
    if not sheet.flasks:
        return None
    lost = [flask for flask in sheet.flasks if flask.is_lost]
    maps = [saw_off_of(flask, job.opened.units) for flask in sheet.flasks if not flask.is_lost]
    return render_to_string("papers/running/saw_off.html", job.context() | {"maps": maps, "lost": lost})


def saw_off_of(flask: FlaskSheet, units: SchoolUnits) -> SawOff:
    """Return a flask's map, its pieces numbered, and its cuts in order."""
    pieces = {
        one.name.tag: Standing(one.place, one.wax.width_mm, one.wax.depth_mm, one.wax.height_mm, one.metal_g)
        for one in flask.waxes
    }
    order, known = cutting_order(pieces)
    by_tag = {one.name.tag: one for one in flask.waxes}
    numbered = replace(flask, waxes=tuple(_numbered(by_tag[tag], nth) for nth, tag in enumerate(order, 1)))
    drawn = draw_small_flask(numbered, units) if flask.tiers else draw_flask(numbered, units, mirrored=True)
    return SawOff(flask, drawn, [(nth, by_tag[tag]) for nth, tag in enumerate(order, 1)], known)


def _numbered(on_base: WaxOnBase, nth: int) -> WaxOnBase:
    """A piece whose tag is drawn with its number before it."""
    return replace(on_base, name=replace(on_base.name, tag=f"{nth}: {on_base.name.tag}"))
