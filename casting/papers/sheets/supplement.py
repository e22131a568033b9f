"""The supplement to the safety handout: half a sheet for each student, once the flasks are planned.

It says what the handout, made before there was a flask, could not: each flask with its metal, charge,
heat and times, what stops or warns beyond the handout, and what was offered and is not poured. No
name stands on it, not even whose metal it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from django.template.loader import render_to_string
from django.utils.translation import gettext as _
from django.utils.translation import override

from casting.calc.values.enums import Level
from casting.papers.print_job import PlanPrintJob
from casting.papers.sheets.handout import HandoutLine, in_words, is_on_handout, offered_of, said_of
from casting.presenters.cautions import ShownCaution
from casting.presenters.plan_sheet import FlaskSheet

HALF_SHEET_MM = {"A4": 130.5, "Letter": 121.7}
"""What stands higher than this takes a whole sheet: 15 mm of margin and 3 mm less than half the paper."""
HEADS_MM = 28.5
ROW_MM, LINE_MM = 6.6, 4.3
ADDED_MM = 8.2
"""The least that a caution takes with its sign; two lines and their gap take more."""
SIGNS_A_LINE, SIGNS_OF_METAL = 100, 38


def supplement_html(job: PlanPrintJob) -> str | None:
    """Return the supplement in English; None if the plan has no flask."""
    return _in("en", job)


def supplement_es_html(job: PlanPrintJob) -> str | None:
    """Return the supplement in Spanish; None if the plan has no flask."""
    return _in("es", job)


def _in(language: str, job: PlanPrintJob) -> str | None:
    with override(language):
        opened = job.opened
        sheet = opened.sheet
        if not sheet.flasks:
            return None
        offered = offered_of(job.day)
        added = added_to(offered.cautions, opened.cautions)
        poured = {flask.alloy.name for flask in sheet.flasks}
        not_poured = "; ".join(in_words(metal.name) for metal in offered.metals if metal.name not in poured)
        metals = [_metal(flask) for flask in sheet.flasks]
        high_mm = height_mm(metals, [said_of(one) for one in added], not_poured)
        high_mm += LINE_MM * len(sheet.clock_changes)
        context = job.context() | {
            "flasks": list(zip(sheet.flasks, metals, strict=True)),
            "added": [(caution, said_of(caution)) for caution in added],
            "not_poured": not_poured,
            "copies": (1, 2) if high_mm <= HALF_SHEET_MM[opened.school.paper] else (1,),
        }
        return render_to_string("papers/supplement.html", context)


def _metal(flask: FlaskSheet) -> str:
    """The metal in words, whether a student brought it, and its kiln if the day has more than one."""
    metal = in_words(flask.alloy.name)
    if flask.owner is not None:
        metal += ", " + _("a student's own")
    return f"{metal} ({flask.kiln_named})" if flask.kiln_named else metal


def added_to(given_out: Sequence[ShownCaution], of_plan: Iterable[ShownCaution]) -> list[ShownCaution]:
    """Return the STOPs and WARNs of a plan that the handout does not say; cleared ones among them."""
    return [one for one in of_plan if one.level is not Level.SAY and not is_on_handout(one, given_out)]


def height_mm(metals: Iterable[str], added: Iterable[HandoutLine], not_poured: str) -> float:
    """Return how high a copy stands, a little more rather than less; `metals` are the words of each flask's metal."""
    rows = sum(ROW_MM + LINE_MM * (len(metal) // SIGNS_OF_METAL) for metal in metals)
    new = sum(max(ADDED_MM, 1.2 + LINE_MM * (1 + len(line.text) // SIGNS_A_LINE)) for line in added)
    return HEADS_MM + rows + max(new, LINE_MM) + LINE_MM * (1 + len(not_poured) // SIGNS_A_LINE)
