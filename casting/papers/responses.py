"""Responses to a request for a paper: the PDF, or a page that says why there is none."""

from __future__ import annotations

import logging
from collections.abc import Sequence
from contextlib import suppress

from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.models import CastingDay, Plan
from casting.papers import printing
from casting.papers.pdf.render import NotRendered, PangoMissing
from casting.papers.printing import DayPapers, Page
from casting.presenters.navigation import day_context
from casting.services.day_shut import DayShut
from casting.services.prints import mark_printed
from school.access import TeacherRequest
from school.checks import PANGO_HINT
from school.models import Person

log = logging.getLogger(__name__)


def papers_for(request: TeacherRequest, day: CastingDay) -> DayPapers:
    """Return the papers of a day, with the addresses of the site that the browser asked; printed now if posted for."""
    # The origin goes into the codes on the papers.
    origin = f"{request.scheme}://{request.get_host()}"
    now = timezone.now() if request.method == "POST" else None
    return printing.papers_of(day, Plan.objects.latest_of(day), origin, now)


def answer_pdf(request: TeacherRequest, papers: DayPapers, page: Page, noted: bool = True) -> HttpResponse:
    """Answer a page as a PDF, or say in a sentence why there is none.

    What was posted for is noted as printed, unless `noted` is false.
    """
    try:
        pdf = printing.pdf_of(page)
    except NotRendered as failed:
        log.error("%s of day %s: %s", page.key, papers.day.pk, failed)
        return answer_no_pdf(request, papers, failed, page.sentence)
    if noted and request.method == "POST":
        note_printed(papers, [page], request.person)
    return answer_file(pdf, "application/pdf", "inline", printing.file_name(page, papers.day))


def note_printed(papers: DayPapers, pages: Sequence[Page], by: Person) -> None:
    """Note pages as printed; those of a cancelled or closed day can still be had, and nothing is noted of them."""
    with suppress(DayShut):
        mark_printed(papers.day, pages, by)


def answer_no_pdf(request: TeacherRequest, papers: DayPapers, failed: NotRendered, said: str = "") -> HttpResponse:
    """Say why there is no PDF, in the paper's own sentence if it has one, and what mends it."""
    sentence, cure = _why(failed)
    context = day_context(papers.day, papers.plan, "papers") | {"sentence": said or sentence, "cure": cure}
    return TemplateResponse(request, "papers/no_pdf.html", context, status=503)


def answer_held_back(request: TeacherRequest, papers: DayPapers) -> HttpResponse:
    """Say which STOPs keep the papers back, instead of a paper."""
    context = day_context(papers.day, papers.plan, "papers") | {"stops": papers.stops}
    return TemplateResponse(request, "casting/papers/held_back.html", context, status=409)


def answer_file(content: bytes, kind: str, shown: str, name: str) -> HttpResponse:
    """Answer a file; `shown` is inline or attachment."""
    response = HttpResponse(content, content_type=kind)
    response["Content-Disposition"] = f'{shown}; filename="{name}"'
    response["X-Content-Type-Options"] = "nosniff"
    return response


def _why(failed: NotRendered) -> tuple[str, str]:
    """The sentence for the teacher, and what the site's administrator can do."""
    if isinstance(failed, PangoMissing):
        return _("PDFs cannot be made on this machine yet, because Pango is missing."), PANGO_HINT
    return _("The PDF could not be made. The plan itself is fine: print the day plan page instead."), ""
