"""The papers of a day: what is current, what has changed since it was printed, PDFs and the ZIP of them.

A GET changes nothing and is a preview; what is posted for is noted as printed.
"""

from __future__ import annotations

import logging
from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from casting.holding import ShownCaution, held_back_by
from casting.models import CastingDay, Plan
from casting.papers import printing
from casting.papers.kinds import PAPERS
from casting.papers.printing import Page
from casting.papers.render import NotRendered, PangoMissing
from casting.papers.site import printed_from
from casting.way import way_of
from school.access import TeacherRequest, teacher_required
from school.checks import PANGO_HINT

log = logging.getLogger(__name__)


@require_safe
@teacher_required
def papers(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show every paper of the last plan: its revision, its last print, what has changed since."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    plan = Plan.objects.latest_of(day)
    context: dict[str, Any] = {"day": day, "way": way_of(day, "papers", plan), "plan": plan}
    if plan is None:
        return TemplateResponse(request, "casting/flasks/no_plan.html", context)
    with printed_from(_origin(request)):
        standings = printing.standings_of(plan)
    stops = held_back_by(plan)
    context |= {"stops": stops, "standings": standings, "to_print": any(one.to_print for one in standings)}
    return TemplateResponse(request, "casting/papers/papers.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def paper_pdf(request: TeacherRequest, day_id: int, key: str) -> HttpResponse:
    """Answer one paper of the last plan as a PDF, or say in a sentence why there is none."""
    day, plan = _day_and_plan(request, day_id)
    paper = next((paper for paper in PAPERS if paper.key == key), None)
    if paper is None:
        raise Http404("there is no such paper")
    if paper.held and (stops := held_back_by(plan)):
        return _held_back(request, plan, stops)
    with printed_from(_origin(request)):
        page = printing.page_of(paper, plan)
    if page.html is None and not page.failed:
        raise Http404("this plan needs no such paper")
    try:
        pdf = printing.pdf_of(page)
    except NotRendered as failed:
        log.error("%s %s of day %s: %s", key, plan.revision, day.pk, failed)
        sentence, cure = _why(failed)
        context = {"day": day, "way": way_of(day, "papers", plan), "sentence": sentence, "cure": cure}
        return TemplateResponse(request, "papers/no_pdf.html", context, status=503)
    if request.method == "POST":
        printing.mark_printed([page], plan, request.person)
    return _file(pdf, "application/pdf", "inline", printing.file_name(page, plan))


@require_POST
@teacher_required
def papers_zip(request: TeacherRequest, day_id: int, which: str) -> HttpResponse:
    """Answer all papers of the last plan in one ZIP, or those that changed since they were printed."""
    if which not in ("all", "changed"):
        raise Http404("there is no such ZIP")
    day, plan = _day_and_plan(request, day_id)
    if stops := held_back_by(plan):
        return _held_back(request, plan, stops)
    with printed_from(_origin(request)):
        standings = printing.standings_of(plan)
    pages: list[Page] = [one.page for one in standings if which == "all" or one.to_print or one.page.failed]
    if not any(page.html for page in pages):
        messages.info(request, _("Nothing has changed since it was printed."))
        return redirect("papers", day.pk)
    packed, inside = printing.zip_of(plan, pages)
    printing.mark_printed(inside, plan, request.person)
    return _file(packed, "application/zip", "attachment", printing.zip_name(plan, which))


def _day_and_plan(request: TeacherRequest, day_id: int) -> tuple[CastingDay, Plan]:
    """The teacher's day and its last plan; without either, nothing is found."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    plan = Plan.objects.latest_of(day)
    if plan is None:
        raise Http404("no plan has been made")
    return day, plan


def _held_back(request: TeacherRequest, plan: Plan, stops: Sequence[ShownCaution]) -> HttpResponse:
    """Say which STOPs keep the papers back, instead of a paper."""
    context = {"day": plan.day, "way": way_of(plan.day, "papers", plan), "plan": plan, "stops": stops}
    return TemplateResponse(request, "casting/papers/held_back.html", context, status=409)


def _origin(request: TeacherRequest) -> str:
    return f"{request.scheme}://{request.get_host()}"


def _file(content: bytes, kind: str, shown: str, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type=kind)
    response["Content-Disposition"] = f'{shown}; filename="{name}"'
    response["X-Content-Type-Options"] = "nosniff"
    return response


def _why(failed: NotRendered) -> tuple[str, str]:
    """What a teacher is told, and what whoever keeps the server can do."""
    if isinstance(failed, PangoMissing):
        return _("PDFs cannot be made on this machine yet, because Pango is missing."), PANGO_HINT
    return _("The PDF could not be made. The plan itself is unharmed: print the day plan page instead."), ""
