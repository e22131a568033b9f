"""The supplement to the safety handout: half a sheet for each student, once the flasks are planned.

It says what the handout, made before there was a flask, could not: each flask with its metal, charge,
heat and times, what stops or warns beyond the handout, and what was offered and is not poured. No
name stands on it, not even whose metal it is.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from django.template.loader import render_to_string
from django.utils.translation import override

from casting.calc.values.enums import Level
from casting.papers.print_job import PlanPrintJob
from casting.papers.sheets.handout import HandoutLine, in_words, offered_of, said_of, spoken_for
from casting.presenters.cautions import ShownCaution
from casting.presenters.plan_sheet import FlaskSheet

HALF_SHEET = 15
"""The most flasks and lines together that half a sheet holds; more take a whole sheet."""
SIGNS_A_LINE = 80


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
        context = job.context() | {
            "flasks": [(flask, in_words(flask.alloy.name)) for flask in sheet.flasks],
            "added": [(caution, said_of(caution)) for caution in added],
            "not_poured": [in_words(metal.name) for metal in offered.metals if metal.name not in poured],
            "copies": (1, 2) if lines_of(sheet.flasks, [said_of(one) for one in added]) <= HALF_SHEET else (1,),
        }
        return render_to_string("papers/supplement.html", context)


def added_to(given_out: Sequence[ShownCaution], of_plan: Iterable[ShownCaution]) -> list[ShownCaution]:
    """Return the STOPs and WARNs of a plan that no line of the handout speaks for; cleared ones among them."""
    standing = [one for one in given_out if one.level is Level.STOP and not one.cleared_by]
    _own, spoken = spoken_for(standing)
    said = {(one.id, one.text) for one in given_out}
    return [one for one in of_plan if one.level is not Level.SAY and not _said(one, said, spoken)]


def _said(caution: ShownCaution, said: Collection[tuple[str, str]], spoken: Collection[str]) -> bool:
    return (caution.id, caution.text) in said or (caution.level is Level.STOP and caution.id in spoken)


def lines_of(flasks: Sequence[FlaskSheet], added: Iterable[HandoutLine]) -> int:
    """Return how many lines the flasks and what was added take."""
    return len(flasks) + sum(1 + len(line.text) // SIGNS_A_LINE for line in added)
