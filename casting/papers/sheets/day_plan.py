"""The day plan for the bench: what to fetch, mount, mix, fire and pour; two sides of one sheet for a class of 24."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.template.loader import render_to_string
from django.utils.functional import Promise
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from casting.calc.values.day_input import Alloy
from casting.calc.values.enums import Asked, Do, Level
from casting.dayfile.rules_file import rulebook
from casting.drawings.timetable import AXIS_MM, KEY_MM, draw_timetable
from casting.papers.print_job import PlanPrintJob
from casting.papers.sheets.day_plan_room import DayParts, caution_rows, room_mm
from casting.papers.sheets.handout_room import halves
from casting.presenters.cautions import ShownCaution
from casting.presenters.day_outline import pours_of
from casting.presenters.formats import degrees
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.plan_sheet import FlaskSheet, PlanSheet, WaxOnBase
from casting.presenters.told_once import told_once
from casting.presenters.wording import reworded

BEGINS = {
    Do.HAND_IN_CLOSES: _("hand-in closes"),
    Do.MOUNT: _("mount from"),
    Do.MIX: _("mix from"),
    Do.LOAD: _("load"),
    Do.KILN_ON: _("kiln on"),
}
CELLS_A_ROW = 3
"""A row of mounts is divided so; a flask takes one, or two if its words are many."""
FOUND_AT_A_GLANCE = 12
"""The most flasks among which one is found without the order of the letters."""
WORDS_BESIDE = {64: 6, 80: 5, 104: 3}
"""Widths of flasks, in mm, up to which the style sheet leaves a column of words beside the picture, each with the most
waxes whose words stand in that column; more take two cells."""

MOST_ROW_MM = 5.2
ROW_MM = 3.4
ROWS_MM = 24.0
"""Height of all rows of the timetable, where there are many; one is `ROW_MM`, where room is to spare `MOST_ROW_MM`."""
LEAST_ROW_MM = 3.0
CURVES_MM = 20.0
"""Height of all kilns' curves, where there are several; one is never higher than `CURVE_MM`."""
CURVE_MM = 14.0
LEAST_CURVE_MM = 10.0
MOST_CURVE_MM = 30.0
"""Higher, a curve says no more; six of them are its name and its clearance."""
FLASK_OF = re.compile(r"\\\{flask\\\}")
BEFORE = (Asked.SET_UP, Asked.PLAN)
POURING = (Asked.MELT, Asked.POUR, Asked.QUENCH)
EACH_POUR = (Asked.POUR, Asked.QUENCH)
"""What is asked then is asked again at each flask, and has a box for each."""
TEACHERS = ("hours-unknown",)
SAID_BY_CHECK = ("R-16b", "R-22", "R-25b", "R-31", "R-36")
"""Torch tested, gauge at its number, solvents away, metals known, ground dry: what the check says is all of it."""
BOX_LETTERS = "MM"
"""About as wide as a flask's box with its letter."""
BOXES_BESIDE = 8
"""The most flasks that have boxes of their own beside a check; for more there is one box for the day."""


@dataclass(frozen=True, slots=True)
class Line:
    """A caution as the bench reads it, with the other flasks it is said of in the same words."""

    caution: ShownCaution
    others: tuple[str, ...] = ()
    boxes: tuple[str, ...] = ()
    """The flasks at each of which it is ticked again; none if it is ticked once."""

    @property
    def words(self) -> str:
        """What stands after its level or check: where the check says as much as the rule, what is not recorded."""
        if not self.is_gate or self.caution.id not in SAID_BY_CHECK:
            return self.caution.text
        return self.caution.text.removeprefix(reworded(rulebook().rules[self.caution.id].text)).strip()

    @property
    def is_gate(self) -> bool:
        """True if it is ticked on the day: a STOP that nobody has cleared, or a check."""
        return self.caution.cleared_by is None and (self.caution.level is Level.STOP or bool(self.caution.check))

    @property
    def each_pour(self) -> bool:
        """True if it is a gate of every flask rather than of the day or of one flask."""
        return self.is_gate and self.caution.when in EACH_POUR and flask_of(self.caution) is None


def day_plan_html(job: PlanPrintJob) -> str:
    """Return the page of the day plan: the same plan, names, units and state of the day give the same page."""
    opened = job.opened
    sheet, cautions = opened.sheet, told_once(cautions_at_the_bench(opened))
    to_pour = [flask for flask in sheet.flasks if flask.to_pour]
    loads = {step.kiln: step.at for step in reversed(sheet.steps_of(Do.LOAD))}
    context = job.context() | {
        "mounts": mounts_of([flask for flask in sheet.flasks if not flask.invested]),
        "mounted": sorted((one.label for one in sheet.flasks if one.invested), key=lambda label: (len(label), label)),
        "sizes": sizes_to_fetch(sheet.flasks),
        "pours": pours_of(sheet),
        "times": times_of(sheet),
        "kilns": [(night, loads.get(night.kiln.key)) for night in sheet.kilns],
        "dry": any(flask.cools_in_air for flask in sheet.flasks),
        "silver": any(is_silver(flask.alloy) for flask in to_pour),
        "before": halves(lines_of(cautions, BEFORE), rows_of),
        "at_the_kiln": in_columns(lines_of(cautions, [Asked.KILN])),
        "at_the_pour": in_columns(gates_of_pours(lines_of(cautions, POURING), to_pour)),
    }
    context["timetable"] = timetable_of(opened, parts_of(sheet, context))
    return render_to_string("papers/day_plan.html", context)


def times_of(sheet: PlanSheet) -> list[tuple[str | Promise, datetime]]:
    """Return when each part of the day begins, as far as the plan says so."""
    firsts = [(name, sheet.steps_of(do)) for do, name in BEGINS.items()]
    return [(name, steps[0].at) for name, steps in firsts if steps]


def is_silver(alloy: Alloy) -> bool:
    """Tell whether most of a metal is silver."""
    return (alloy.composition_pct.get("Ag") or 0) > 50


def timetable_of(opened: OpenedPlan, parts: DayParts) -> SafeString:
    """Return the day on one clock axis, higher where the parts beside it leave room."""
    flasks, kilns = len(opened.sheet.flasks), len(opened.sheet.kilns)
    row_mm = max(LEAST_ROW_MM, min(ROW_MM, ROWS_MM / max(1, flasks)))
    curve_mm = max(LEAST_CURVE_MM, min(CURVE_MM, CURVES_MM / max(1, kilns)))
    room = room_mm(parts, AXIS_MM + kilns * curve_mm + flasks * row_mm + KEY_MM, opened.school.paper)
    if not room:
        row_mm = LEAST_ROW_MM
    grown_mm = max(curve_mm, min(MOST_CURVE_MM, curve_mm + room / max(1, kilns)))
    left_mm = room - kilns * (grown_mm - curve_mm)
    row_mm = max(row_mm, min(MOST_ROW_MM, row_mm + left_mm / max(1, flasks)))
    return draw_timetable(opened.sheet, lambda celsius: degrees(celsius, opened.units), row_mm, grown_mm)


def parts_of(sheet: PlanSheet, context: Mapping[str, Any]) -> DayParts:
    """Return what stands beside the timetable, as its height is counted."""
    return DayParts(
        fetched=sum(1 + bool(metal.brought_for or metal.poured) + bool(metal.lost) for metal in sheet.metals)
        + 2
        + sum(2 if filled else 1 for _flask, _many, filled in context["sizes"]),
        bowls=len(sheet.bowls),
        mounts=[[_mount(flask) for flask, _words in row] for row in context["mounts"]],
        left_out=len(sheet.left_out),
        gates=[
            max(sum(rows_of(line) for line in half) for half in context[part])
            for part in ("before", "at_the_kiln", "at_the_pour")
        ],
        segments=[len(night.segments) for night, _load in context["kilns"]],
        pours=sum(3 if pour.flask.owner else 1 for pour in context["pours"]),
    )


def _mount(flask: FlaskSheet) -> tuple[float, list[str]]:
    """A flask's height as drawn in full and its words; a tree stands beside its tiers, so higher."""
    high_mm = flask.size.height_mm + flask.size.diameter_mm if flask.tiers else flask.size.diameter_mm
    named = [f"{one.name.tag} {one.name.student}, {one.name.piece}{_reach(one)} 00.00 g" for one in flask.waxes]
    return high_mm, named


def _reach(on_base: WaxOnBase) -> str:
    """About what is said of a foot beyond the sprue's reach."""
    return f", foot 0.0 mm beyond the sprue's reach: {on_base.reach_reason}" if on_base.reach_reason else ""


def cautions_at_the_bench(opened: OpenedPlan) -> list[ShownCaution]:
    """Return what stops or warns, what is said of one flask, and of a kiln in a night when nobody is there.

    Lines for everybody stand on the handout; a question that only the teacher answers, on the teacher's sheet.
    """
    said = [one for one in opened.cautions if one.id not in TEACHERS]
    return [one for one in said if one.level is not Level.SAY or one.check or one.id.startswith(("N-", "kiln-"))]


def lines_of(cautions: Iterable[ShownCaution], asked: Sequence[Asked]) -> list[Line]:
    """Return the cautions of some hours of the day; what is said of several flasks alike is said once."""
    lines: dict[str, Line] = {}
    for one in cautions:
        if one.when not in asked:
            continue
        label = flask_of(one) if one.level is Level.SAY else None
        first = lines.get(one.id) if label else None
        if first is None or label is None:
            lines[one.id if label else one.text] = Line(one)
        else:
            lines[one.id] = Line(first.caution, (*first.others, label))
    return list(lines.values())


def gates_of_pours(lines: Iterable[Line], to_pour: Sequence[FlaskSheet]) -> list[Line]:
    """Return the lines of the pours with their boxes, those with several last; a metal's check has its flasks'."""
    found = []
    for line in lines:
        flasks = [flask for flask in to_pour if line.each_pour or flask.alloy.called in line.caution.metals]
        labels = tuple(flask.label for flask in flasks) if line.is_gate else ()
        found.append(replace(line, boxes=labels if len(labels) <= BOXES_BESIDE else ()))
    return sorted(found, key=lambda line: line.each_pour or bool(line.boxes))


def in_columns(lines: Sequence[Line]) -> tuple[Sequence[Line | None], Sequence[Line | None]]:
    """Return the lines as two columns of about as many rows; None is the line for who ticks them, if anything is."""
    return halves([*lines, None] if any(line.is_gate for line in lines) else lines, rows_of)


def rows_of(line: Line | None) -> int:
    """Return about how many rows a line takes in its column; that for a name takes one."""
    if line is None:
        return 1
    others = f"The same goes for {', '.join(line.others)}." if line.others else ""
    cleared = f"Cleared by {line.caution.cleared_by}: {line.caution.reason}" if line.caution.cleared_by else ""
    boxes = f"{BOX_LETTERS} " * (len(line.boxes) or line.is_gate)
    return caution_rows(f"{line.words} {others} {cleared} {boxes}", line.caution.check or line.caution.level)


def flask_of(caution: ShownCaution) -> str | None:
    """Return the label of the flask that a caution speaks of, found by its rule's own words; None if of none."""
    rule = rulebook().rules.get(caution.id)
    if rule is None or "{flask}" not in rule.text:
        return None
    pattern = re.sub(r"\\\{\w+\\\}", "(?:.+?)", FLASK_OF.sub("(?P<flask>\\\\S+?)", re.escape(rule.text)))
    match = re.fullmatch(pattern, caution.as_raised)
    return match["flask"] if match else None


def mounts_of(flasks: Sequence[FlaskSheet]) -> list[list[tuple[FlaskSheet, str]]]:
    """Return the flasks by rows of the paper, each with the class of its words.

    The fullest come first, so that the flasks of a row are about as high as each other, and the most work is begun
    with; where so many would have to be hunted for, they stand by their letters. A tree has a row to itself, and what
    does not fit beside the last flask of a row leaves its place to the next that does.
    """
    fullest_first = len(flasks) <= FOUND_AT_A_GLANCE
    flasks = sorted(flasks, key=lambda one: (-len(one.waxes) if fullest_first else 0, len(one.label), one.label))
    rows: list[list[tuple[FlaskSheet, str]]] = [[(flask, "tree")] for flask in flasks if flask.tiers]
    left = [(flask, words_beside(flask.size.diameter_mm, len(flask.waxes))) for flask in flasks if not flask.tiers]
    while left:
        row, free = [], CELLS_A_ROW
        for mount in list(left):
            if (cells := 2 if "wide" in mount[1] else 1) <= free:
                row.append(mount)
                left.remove(mount)
                free -= cells
        rows.append(row)
    return rows


def words_beside(diameter_mm: float, waxes: int) -> str:
    """Return the class of the words beside a flask's picture at 1:3; nothing if they stand below it."""
    width = next((most for most in WORDS_BESIDE if diameter_mm <= most), None)
    if width is None:
        return ""
    return f"beside-{width}" + (" wide" if waxes > WORDS_BESIDE[width] else "")


def sizes_to_fetch(flasks: Iterable[FlaskSheet]) -> list[tuple[FlaskSheet, int, int]]:
    """Return one flask of each size with how many are still needed and how many are filled, smallest first."""
    flasks = sorted(flasks, key=lambda flask: (flask.size.diameter_mm, flask.size.height_mm, flask.size.key))
    count = Counter(flask.size.key for flask in flasks)
    filled = Counter(flask.size.key for flask in flasks if flask.invested)
    first = {flask.size.key: flask for flask in reversed(flasks)}
    return [(first[key], many - filled[key], filled[key]) for key, many in count.items()]
