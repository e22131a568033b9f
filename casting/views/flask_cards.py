"""The sheets for the flask cards: plain paper or labels, the labels already used, and the nudge of the print.

Every choice is an address; the last good one is kept for the teacher's next visit.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods, require_safe

from casting.forms.flask_cards import SheetForm
from casting.models import CastingDay
from casting.papers.printing import DayPapers
from casting.papers.registry import PAPERS
from casting.papers.responses import answer_held_back, answer_pdf, papers_for
from casting.papers.sheets.flask_cards import flask_cards_html, sheets_of
from casting.papers.sheets.sheet_picture import draw_sheet
from casting.presenters.navigation import day_context
from casting.selectors.wax_extras import extras_of
from school.access import TeacherRequest, helper_required

KEPT = "flask_card_sheet"
"""Where a session keeps the last good choice."""
CHOICES = ("stock", "used", "x", "y")


@require_safe
@helper_required
def flask_cards(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show the form, and the sheets as they would be printed."""
    papers = _papers(request, day_id)
    if papers.stops:
        return answer_held_back(request, papers)
    form = _form(request, papers)
    context = day_context(papers.day, papers.plan, "papers")
    if form.is_valid():
        chosen = {name: form.cleaned_data[name] for name in CHOICES}
        if request.GET:
            request.session[KEPT] = chosen
        address = reverse("flask_cards_pdf", args=[papers.day.pk])
        context |= {"pdf": f"{address}?{urlencode(chosen)}", "sheets": _pictures(papers, form)}
    return TemplateResponse(request, "casting/flask_cards/flask_cards.html", context | {"form": form})


@require_http_methods(["GET", "HEAD", "POST"])
@helper_required
def flask_cards_pdf(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Answer the flask cards on the sheets that the address names, or the page with what is wrong in that choice."""
    papers = _papers(request, day_id)
    if papers.stops:
        return answer_held_back(request, papers)
    form = SheetForm(request.GET, paper=papers.day.course.school.paper)
    if not form.is_valid():
        context = day_context(papers.day, papers.plan, "papers") | {"form": form}
        return TemplateResponse(request, "casting/flask_cards/flask_cards.html", context, status=400)
    stock, used, x, y = (form.cleaned_data[name] for name in CHOICES)
    paper = next(paper for paper in PAPERS if paper.key == "flask-cards")
    paper = replace(paper, of_plan=lambda job: flask_cards_html(job, stock, used, x, y))
    page = papers.page(paper)
    # Labels without views go with the flask cards and do not replace them.
    return answer_pdf(request, papers, page, noted=form.sheet is None or form.sheet.views)


def _papers(request: TeacherRequest, day_id: int) -> DayPapers:
    """The papers of the teacher's own day, if its plan has a flask."""
    papers = papers_for(request, get_object_or_404(CastingDay.objects.of(request.person), pk=day_id))
    if papers.plan is None or not papers.plan.file["flasks"]:
        raise Http404("there is no flask to print a card for")
    return papers


def _form(request: TeacherRequest, papers: DayPapers) -> SheetForm:
    """The choice of the address, else the one kept if it still can be, else plain paper."""
    paper = papers.day.course.school.paper
    if request.GET:
        return SheetForm(request.GET, paper=paper)
    kept = SheetForm(request.session.get(KEPT, {}), paper=paper)
    return kept if kept.is_valid() else SheetForm({}, paper=paper)


def _pictures(papers: DayPapers, form: SheetForm) -> list[dict[str, Any]]:
    """Each sheet with its picture; used labels are those of the first."""
    assert papers.opened is not None
    used, x, y = (form.cleaned_data[name] for name in ("used", "x", "y"))
    pictures: list[dict[str, Any]] = []
    flasks, paper = papers.opened.sheet.flasks, papers.day.course.school.paper
    for sheet in sheets_of(flasks, paper, form.sheet, used, extras_of(papers.day)):
        # A flask too large for its label comes on plain paper, which is neither used nor nudged.
        gone, right, down = (used, x, y) if sheet.stock == form.sheet else (0, 0.0, 0.0)
        pictures.append({"sheet": sheet, "picture": draw_sheet(sheet, 0 if pictures else gone, right, down)})
    return pictures
