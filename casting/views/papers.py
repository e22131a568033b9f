"""The papers of a day: what is current, what has changed since it was printed, PDFs and the ZIP of them.

A GET changes nothing and is a preview; what is posted for is noted as printed.
"""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from casting.models import CastingDay
from casting.papers import printing
from casting.papers.fingerprints import changed_since
from casting.papers.origin import printed_from
from casting.papers.printing import Wall
from casting.papers.registry import PAPERS
from casting.papers.responses import answer_file, answer_held_back, answer_pdf, origin_of, wall_for
from casting.presenters.navigation import way_of
from school.access import TeacherRequest, posted_from, teacher_required


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
        "outdated": changed_since(wall.parts),
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
        return answer_held_back(request, wall)
    with printed_from(origin_of(request)):
        page = wall.page(paper)
    if page.html is None and not page.failed:
        raise Http404("this day or plan needs no such paper")
    return answer_pdf(request, wall, page)


@posted_from("papers", "day_id")
@teacher_required
def papers_zip(request: TeacherRequest, day_id: int, which: str) -> HttpResponse:
    """Answer all papers that there are now in one ZIP, or those that changed since they were printed."""
    if which not in ("all", "changed"):
        raise Http404("there is no such ZIP")
    wall = _wall(request, day_id)
    if wall.stops:
        return answer_held_back(request, wall)
    chosen = [one.paper for one in wall.standings() if which == "all" or one.to_print]
    if not chosen:
        messages.info(request, _("Nothing has changed since it was printed."))
        return redirect("papers", wall.day.pk)
    with printed_from(origin_of(request)):
        pages = wall.pages(chosen)
    packed, inside = printing.zip_of(wall, pages)
    printing.mark_printed(inside, wall.day, request.person)
    return answer_file(packed, "application/zip", "attachment", printing.zip_name(wall, which))


def _wall(request: TeacherRequest, day_id: int) -> Wall:
    """The papers of the teacher's own day."""
    return wall_for(request, get_object_or_404(CastingDay.objects.of(request.person), pk=day_id))
