"""The papers of a day: what is current, what has changed since it was printed, PDFs and the ZIP of them.

A GET changes nothing and is a preview; what is posted for is noted as printed.
"""

from __future__ import annotations

import logging
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from casting.models import CastingDay, Plan
from casting.papers import printing
from casting.papers.kinds import PAPERS
from casting.papers.printing import Wall
from casting.papers.render import NotRendered, PangoMissing
from casting.papers.site import printed_from
from casting.way import way_of
from school.access import TeacherRequest, teacher_required
from school.checks import PANGO_HINT

log = logging.getLogger(__name__)


@require_safe
@teacher_required
def papers(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show every paper of the day and its last plan: its last print, and what has changed since."""
    wall = _wall(request, day_id)
    standings = wall.standings()
    context: dict[str, Any] = {
        "day": wall.day,
        "way": way_of(wall.day, "papers", wall.plan),
        "plan": wall.plan,
        "stops": wall.stops,
        "standings": standings,
        "to_print": [one for one in standings if one.to_print],
        "later": [paper.title for paper in PAPERS if wall.plan is None and paper.of_day is None],
    }
    return TemplateResponse(request, "casting/papers/papers.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def paper_pdf(request: TeacherRequest, day_id: int, key: str) -> HttpResponse:
    """Answer one paper of the day or its last plan as a PDF, or say in a sentence why there is none."""
    wall = _wall(request, day_id)
    paper = next((paper for paper in PAPERS if paper.key == key), None)
    if paper is None:
        raise Http404("there is no such paper")
    if paper.held and wall.stops:
        return _held_back(request, wall)
    with printed_from(_origin(request)):
        page = wall.page(paper)
    if page.html is None and not page.failed:
        raise Http404("this day or plan needs no such paper")
    try:
        pdf = printing.pdf_of(page)
    except NotRendered as failed:
        log.error("%s of day %s: %s", key, wall.day.pk, failed)
        sentence, cure = _why(failed)
        context = {"day": wall.day, "way": way_of(wall.day, "papers", wall.plan), "plan": wall.plan}
        context |= {"sentence": page.sentence or sentence, "cure": cure}
        return TemplateResponse(request, "papers/no_pdf.html", context, status=503)
    if request.method == "POST":
        printing.mark_printed([page], wall.day, request.person)
    return _file(pdf, "application/pdf", "inline", printing.file_name(page, wall.day))


@require_POST
@teacher_required
def papers_zip(request: TeacherRequest, day_id: int, which: str) -> HttpResponse:
    """Answer all papers that there are now in one ZIP, or those that changed since they were printed."""
    if which not in ("all", "changed"):
        raise Http404("there is no such ZIP")
    wall = _wall(request, day_id)
    if wall.stops:
        return _held_back(request, wall)
    chosen = [one.paper for one in wall.standings() if which == "all" or one.to_print]
    if not chosen:
        messages.info(request, _("Nothing has changed since it was printed."))
        return redirect("papers", wall.day.pk)
    with printed_from(_origin(request)):
        pages = wall.pages(chosen)
    packed, inside = printing.zip_of(wall, pages)
    printing.mark_printed(inside, wall.day, request.person)
    return _file(packed, "application/zip", "attachment", printing.zip_name(wall, which))


def _wall(request: TeacherRequest, day_id: int) -> Wall:
    """The papers of the teacher's own day."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    with printed_from(_origin(request)):
        return printing.wall_of(day, Plan.objects.latest_of(day))


def _held_back(request: TeacherRequest, wall: Wall) -> HttpResponse:
    """Say which STOPs keep the papers back, instead of a paper."""
    context = {"day": wall.day, "way": way_of(wall.day, "papers", wall.plan), "plan": wall.plan, "stops": wall.stops}
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
