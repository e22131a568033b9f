"""The papers of a day: what is current, what has changed since it was printed, their PDFs, all in a ZIP or one PDF.

A GET changes nothing and is a preview; what is posted for is noted as printed.
"""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from casting.models import CastingDay
from casting.papers import printing
from casting.papers.crossing_out import crossed_out
from casting.papers.fingerprints import changed_since
from casting.papers.pdf.render import NotRendered
from casting.papers.printing import DayPapers
from casting.papers.registry import OF_ACCOUNT, OF_THE_DAY, PAPERS
from casting.papers.responses import answer_file, answer_held_back, answer_no_pdf, answer_pdf, note_printed, papers_for
from casting.presenters.navigation import day_context
from school.access import TeacherRequest, helper_required, posted_from


@require_safe
@helper_required
def papers(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show every paper of the day and its last plan: its last print, and what has changed since."""
    of_day = _papers(request, day_id)
    statuses = of_day.statuses()
    context = day_context(of_day.day, of_day.plan, "papers") | {
        "outdated": changed_since(of_day.parts),
        "stops": of_day.stops,
        "standings": statuses,
        "crossed_out": crossed_out(of_day, statuses),
        "to_print": [one for one in statuses if one.to_print],
        "later": [paper.title for paper in PAPERS if of_day.plan is None and paper.of_day is None],
    }
    return TemplateResponse(request, "casting/papers/papers.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@helper_required
def paper_pdf(request: TeacherRequest, day_id: int, key: str) -> HttpResponse:
    """Answer one paper of the day or its last plan as a PDF, or say in a sentence why there is none."""
    of_day = _papers(request, day_id)
    paper = next((paper for paper in (*PAPERS, *OF_ACCOUNT, *OF_THE_DAY) if paper.key == key), None)
    if paper is None:
        raise Http404("there is no such paper")
    if paper.teachers and not request.person.is_teacher:
        return TemplateResponse(request, "school/teachers_only.html", status=403)
    if paper.held and of_day.stops:
        return answer_held_back(request, of_day)
    page = of_day.page(paper)
    if page.html is None and not page.failed:
        raise Http404("this day or plan needs no such paper")
    return answer_pdf(request, of_day, page)


@posted_from("papers", "day_id")
@helper_required
def papers_zip(request: TeacherRequest, day_id: int, which: str) -> HttpResponse:
    """Answer all papers that there are now in one ZIP, or those that changed since they were printed."""
    if which not in ("all", "changed"):
        raise Http404("there is no such ZIP")
    of_day = _papers(request, day_id)
    if of_day.stops:
        return answer_held_back(request, of_day)
    chosen = [one.paper for one in of_day.statuses() if which == "all" or one.to_print]
    if not chosen:
        messages.info(request, _("Nothing has changed since it was printed."))
        return redirect("papers", of_day.day.pk)
    packed, inside = printing.zip_of(of_day, [of_day.page(paper) for paper in chosen])
    note_printed(of_day, inside, request.person)
    return answer_file(packed, "application/zip", "attachment", printing.together_name(of_day, which))


@posted_from("papers", "day_id")
@helper_required
def papers_in_one(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Answer all papers that there are now in one PDF for printing on both sides."""
    of_day = _papers(request, day_id)
    if of_day.stops:
        return answer_held_back(request, of_day)
    try:
        made, inside = printing.one_pdf_of(of_day, [of_day.page(one.paper) for one in of_day.statuses()])
    except NotRendered as failed:
        return answer_no_pdf(request, of_day, failed)
    note_printed(of_day, inside, request.person)
    return answer_file(made, "application/pdf", "inline", printing.together_name(of_day, "all", "pdf"))


def _papers(request: TeacherRequest, day_id: int) -> DayPapers:
    """The papers of the teacher's own day."""
    return papers_for(request, get_object_or_404(CastingDay.objects.of(request.person), pk=day_id))
