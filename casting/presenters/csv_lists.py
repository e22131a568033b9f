"""The waxes of a day and the charges of its plan as rows for a spreadsheet."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from django.utils.translation import gettext as _

from casting.models import Wax
from casting.presenters.formats import degrees_number, rounded
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.plan_sheet import FlaskSheet
from casting.presenters.wax_preview import WaxAnswer
from school.csv_file import Cell
from school.models import School

Table = tuple[Sequence[str], list[Sequence[Cell]]]
"""The header and the rows."""


def waxes_table(waxes: Iterable[Wax], answers: Mapping[str, WaxAnswer], school: School) -> Table:
    """Return the waxes, withdrawn ones too, with what was recorded of each and the metal that it takes."""
    header = [
        _("Tag"),
        _("Student"),
        _("What it is"),
        _("Metal"),
        _("Second-choice metal"),
        _("Whose metal"),
        _("Made of"),
        _("Wax [g]"),
        _("Sprue of another material [g]"),
        _("Width [mm]"),
        _("Depth [mm]"),
        _("Height [mm]"),
        _("Thinnest part"),
        _("Stones"),
        _("Note"),
        _("Metal needed, no button [g]"),
        _("Handed in"),
        _("Withdrawn"),
    ]
    return header, [_wax(wax, answers.get(wax.tag), school) for wax in waxes]


def _wax(wax: Wax, told: WaxAnswer | None, school: School) -> list[Cell]:
    return [
        wax.tag,
        wax.student.called,
        wax.what,
        wax.alloy.name,
        wax.second_alloy.name if wax.second_alloy else "",
        _("student's own") if wax.own_metal else _("school's"),
        wax.pattern.name,
        wax.wax_g,
        wax.sprue_g,
        wax.width_mm,
        wax.depth_mm,
        wax.height_mm,
        wax.section_word,
        str(Wax.Stones(wax.stones).label),
        wax.note,
        rounded(told.metal_g) if told else None,
        wax.handed_in_at.astimezone(school.tz),
        _("yes") if wax.withdrawn_at else _("no"),
    ]


def charges_table(opened: OpenedPlan) -> Table:
    """Return the flasks of a plan with what is weighed out for each, and whether the plan still is the day's."""
    degree = f"°{opened.units.temperature.value}"
    header = [
        _("Flask"),
        _("Size"),
        _("Metal"),
        _("Waxes"),
        _("Tags"),
        _("Metal of the waxes [g]"),
        _("Button [g]"),
        _("Charge [g]"),
        _("Investment powder [g]"),
        _("Water [g]"),
        _("Flask temperature [%(degree)s]") % {"degree": degree},
        _("Pour temperature [%(degree)s]") % {"degree": degree},
        _("Out of the kiln"),
        _("State"),
        _("Plan revision"),
        _("Plan is up to date"),
    ]
    current = _("no") if opened.is_outdated else _("yes")
    return header, [[*_charge(flask, opened), opened.plan.revision, current] for flask in opened.sheet.flasks]


def _charge(flask: FlaskSheet, opened: OpenedPlan) -> list[Cell]:
    return [
        flask.label,
        flask.size.name,
        flask.alloy.name,
        len(flask.waxes),
        " ".join(on_base.wax.key for on_base in flask.waxes),
        rounded(flask.wax_metal_g),
        rounded(flask.button_g),
        rounded(flask.charge_g),
        flask.powder_g,
        rounded(flask.water_g),
        int(degrees_number(flask.flask_c, opened.units)),
        int(degrees_number(flask.pour_c, opened.units)),
        flask.out_at,
        _state(flask),
    ]


def _state(flask: FlaskSheet) -> str:
    """How far a flask has come, and what went wrong with it."""
    state = _("poured") if flask.poured else _("invested") if flask.invested else _("planned")
    return f"{state}; {flask.mishap.words}" if flask.mishap else state
