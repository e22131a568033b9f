"""The day plan on paper: what to fetch, mix, fire and pour, and every flask at true scale."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from django.template.loader import render_to_string

from casting.calc.words import Do, Level
from casting.holding import ShownCaution, cautions_of
from casting.models import Plan
from casting.opened import OpenedPlan, open_plan, outdated
from casting.reading import FlaskSheet

NARROW_MM = 65.0
"""Two flasks up to this width stand side by side at true scale."""


def day_plan_html(plan: Plan) -> str:
    """Return the page of the day plan: the same plan, names, units and state of the day give the same page."""
    opened = open_plan(plan)
    sheet = opened.sheet
    context = {
        "opened": opened,
        "outdated": outdated(plan),
        "sheet": sheet,
        "units": opened.units,
        "school": opened.school,
        "rows": rows_of(sheet.flasks),
        "sizes": sizes_to_fetch(sheet.flasks),
        "pours": pours_of(opened),
        "cautions": cautions_at_the_bench(opened),
    }
    return render_to_string("papers/day_plan.html", context)


def cautions_at_the_bench(opened: OpenedPlan) -> list[ShownCaution]:
    """Return what stops or warns, and what is said of one flask; lines for everybody stand on the handout."""
    return [one for one in cautions_of(opened.plan) if one.level is not Level.SAY or one.id.startswith("N-")]


def rows_of(flasks: Iterable[FlaskSheet]) -> list[tuple[FlaskSheet, ...]]:
    """Return the flasks as rows of the paper: narrow ones in pairs, then each wide one alone."""
    narrow = [flask for flask in flasks if flask.size.diameter_mm <= NARROW_MM]
    wide = [flask for flask in flasks if flask.size.diameter_mm > NARROW_MM]
    pairs = [tuple(narrow[nth : nth + 2]) for nth in range(0, len(narrow), 2)]
    return pairs + [(flask,) for flask in wide]


def sizes_to_fetch(flasks: Iterable[FlaskSheet]) -> list[tuple[FlaskSheet, int]]:
    """Return one flask of each size with how many are needed, smallest first."""
    flasks = sorted(flasks, key=lambda flask: (flask.size.diameter_mm, flask.size.height_mm, flask.size.key))
    count = Counter(flask.size.key for flask in flasks)
    first = {flask.size.key: flask for flask in reversed(flasks)}
    return [(first[key], many) for key, many in count.items()]


def pours_of(opened: OpenedPlan) -> list[FlaskSheet]:
    """Return the flasks in the order of their pours."""
    order = [label for step in opened.sheet.steps_of(Do.POUR) for label in step.flasks]
    return [opened.sheet.flask(label) for label in order]
