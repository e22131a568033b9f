"""The row of the page of sources that a figure of a plan comes from, by its anchor there.

An anchor is the figure's place in `fixtures/shelf.json`: `alloys.sterling.pour_c`, `rules.wall_mm`. A row of the
rulebook is `cautions.` or `limits.` with its name.
"""

from __future__ import annotations

from django.urls import reverse
from django.utils.translation import gettext as _

from casting import models
from casting.calc.values.day_input import Alloy, Firing, FlaskSize, Investment, Kiln, Pattern, Rules
from casting.calc.values.enums import Do
from casting.calc.values.marked_text import mark
from casting.presenters.from_memory import flask_c_mark, gravity_mark, quench_mark, share_mark
from casting.presenters.plan_sheet import FlaskSheet, KilnNight, PlanSheet, SegmentLine, StepLine

LIST_OF: dict[type, str] = {
    Alloy: "alloys",
    models.Alloy: "alloys",
    Pattern: "patterns",
    models.PatternMaterial: "patterns",
    Investment: "investment",
    FlaskSize: "flask_sizes",
    Kiln: "kilns",
    Firing: "firings",
}

OnShelf = Alloy | models.Alloy | Pattern | models.PatternMaterial | Investment | FlaskSize | Kiln | Firing | Rules


def row_of(thing: OnShelf, figure: str = "") -> str:
    """Return the anchor of a figure of a thing; without a figure, of the thing."""
    place = "rules" if isinstance(thing, Rules) else f"{LIST_OF[type(thing)]}.{thing.key}"
    return f"{place}.{figure}" if figure else place


def address_of(row: str) -> str:
    """Return the address of a row."""
    return reverse("sources") + f"#{row}"


def flask_c_row(flask: FlaskSheet) -> str:
    """Return the row of a flask's temperature."""
    return row_of(flask.alloy, f"flask_c.{flask.section.value}")


def quench_row(flask: FlaskSheet) -> str:
    """Return the row of the wait before a flask's quench; one with stones cools by the house's own hours."""
    return "limits.stones_cool_min" if flask.cools_in_air else row_of(flask.alloy, "quench_min_by_diameter")


def share_row(flask: FlaskSheet) -> str:
    """Return the row of the share of the metal that a button takes."""
    heaviest = max((on_base.wax.section for on_base in flask.waxes), key=lambda section: section.step)
    return row_of(flask.rules, f"button_pct.{heaviest.value}")


def working_rows(sheet: PlanSheet, flask: FlaskSheet) -> dict[str, str]:
    """Return the rows behind the working of a flask, by what they are."""
    gravity = _("specific gravity of %(what)s")
    patterns = [sheet.day.patterns[key] for key in _patterns_of(flask)]
    rows = {gravity % {"what": flask.alloy.called}: row_of(flask.alloy, "specific_gravity")}
    rows |= {gravity % {"what": pattern.called}: row_of(pattern, "specific_gravity") for pattern in patterns}
    return rows | {
        _("share of the button"): share_row(flask),
        _("least button"): row_of(flask.rules, "button_g_by_diameter"),
        _("step of the scale"): row_of(flask.rules, "charge_step_g"),
        _("powder"): row_of(flask.investment, "allowance_pct"),
        _("water"): row_of(flask.investment, "water_per_100"),
    }


def sum_row(sheet: PlanSheet, flask: FlaskSheet, what: str) -> str:
    """Return the row of the star in a line of a working: the "button", the "powder", or else a wax's metal."""
    patterns = [sheet.day.patterns[key] for key in _patterns_of(flask)]
    if what == "powder":
        figures = ("allowance_pct", "water_per_100", "specific_gravity")
        starred = [figure for figure in figures if mark(figure, flask.investment.from_memory)]
        return row_of(flask.investment, starred[0] if starred else "")
    if what == "button" and not gravity_mark(flask):
        return share_row(flask) if share_mark(flask) else row_of(flask.rules, "button_g_by_diameter")
    if what == "button" and mark("button_g_by_diameter", flask.rules.from_memory):
        return row_of(flask.rules, "button_g_by_diameter")
    of_sum: list[Alloy | Pattern] = [flask.alloy, *patterns]
    remembered = [one for one in of_sum if mark("specific_gravity", one.from_memory)]
    return row_of(remembered[0] if remembered else flask.alloy, "specific_gravity")


def _patterns_of(flask: FlaskSheet) -> list[str]:
    """The keys of what a flask's waxes and their sprues are made of."""
    used = [key for one in flask.waxes for key in (one.wax.pattern, one.wax.sprue_pattern) if key]
    return list(dict.fromkeys(used))


def firing_of(sheet: PlanSheet, night: KilnNight) -> Firing:
    """Return the firing that a kiln runs."""
    return next(firing for firing in sheet.day.firings if firing.key == night.firing)


def heat_row(sheet: PlanSheet, night: KilnNight, segment: SegmentLine) -> str:
    """Return the row of the temperature that a kiln goes to: that of a flask where it falls, else its firing's."""
    of = [flask for flask in night.flasks if flask.flask_c == segment.to_c]
    return flask_c_row(of[0]) if segment.cooling and of else row_of(firing_of(sheet, night), "segments")


def ramp_row(sheet: PlanSheet, night: KilnNight, segment: SegmentLine) -> str:
    """Return the row of a ramp: the kiln's own where it falls, or is no faster; else the firing's."""
    if segment.cooling:
        return row_of(night.kiln, "cool_c_per_h")
    if segment.ramp_c_per_h >= night.kiln.max_ramp_c_per_h:
        return row_of(night.kiln, "max_ramp_c_per_h")
    return row_of(firing_of(sheet, night), "segments")


def step_row(sheet: PlanSheet, step: StepLine) -> str:
    """Return the row of the figures in a step's words; nothing for a step that has none of the shelf."""
    flasks = [flask for flask in sheet.flasks if flask.label in step.flasks]
    night = next((night for night in sheet.kilns if night.kiln.key == step.kiln), None)
    if step.do in (Do.RAMP, Do.HOLD) and night:
        firing = firing_of(sheet, night)
        fall_to = [flask for flask in night.flasks if flask_c_mark(flask)]
        # A hold also names the flask temperature that the kiln falls to next; that may be its only star.
        if fall_to and not mark("segments", firing.from_memory):
            return flask_c_row(fall_to[0])
        return row_of(firing, "segments")
    if step.do in (Do.SOAK, Do.POUR) and flasks:
        return flask_c_row(flasks[0])
    return row_of(flasks[0].alloy, "pour_c") if step.do is Do.MELT and flasks else ""


OF_RULES = {"N-13-wall": "wall_mm", "N-13-resin": "resin_wall_mm", "N-08-warn": "crucible_fill_pct"}
OF_POWDER = {
    "N-11-warn": "water_per_100",
    "N-11-stop": "water_per_100",
    "N-12-warn": "set_min",
    "N-12-stop": "set_min",
    "powder-short": "allowance_pct",
    "powder-long": "allowance_pct",
}
"""The figures of the shelf in the words of cautions that name no thing of it."""


def caution_row(id: str) -> str:
    """Return the row of a rule."""
    return f"cautions.{id}"


def starred_row(sheet: PlanSheet, id: str, text: str) -> str:
    """Return the row that the star in a caution's words comes from; the rule's own if its words do not tell."""
    day = sheet.day
    if id in OF_RULES:
        return row_of(day.rules, OF_RULES[id])
    if id in OF_POWDER:
        return row_of(day.investment, OF_POWDER[id])
    things: list[Alloy | Pattern | Firing | Kiln | FlaskSize] = [
        *day.alloys.values(), *day.patterns.values(), *day.firings, *day.kilns, *day.flask_sizes,
    ]  # fmt: skip
    named = [thing for thing in things if thing.from_memory and thing.called in text]
    if named:
        return row_of(max(named, key=lambda thing: len(thing.called)))
    flasks = [flask for flask in sheet.flasks if flask.alloy.from_memory]
    of_flask = [flask for flask in flasks if f"flask {flask.label}" in text]
    waiting = [flask for flask in flasks if id == "N-07" and quench_mark(flask)]
    return row_of((of_flask + waiting)[0].alloy) if of_flask or waiting else caution_row(id)
