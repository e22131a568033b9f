"""What a teacher's browser gets when it asks for a paper: the PDF, or a page that says why there is none."""

from __future__ import annotations

import logging

from django.http import HttpRequest, HttpResponse
from django.template.response import TemplateResponse
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.models import CastingDay, Plan
from casting.papers import printing
from casting.papers.origin import printed_from
from casting.papers.pdf.render import NotRendered, PangoMissing
from casting.papers.printing import Page, Wall
from casting.presenters.navigation import way_of
from school.access import TeacherRequest
from school.checks import PANGO_HINT

log = logging.getLogger(__name__)


def wall_for(request: TeacherRequest, day: CastingDay) -> Wall:
    """Return the papers of a day, their addresses those of the browser's own site; printed now if posted for."""
    with printed_from(origin_of(request)):
        return printing.wall_of(day, Plan.objects.latest_of(day), timezone.now() if request.method == "POST" else None)


def answer_pdf(request: TeacherRequest, wall: Wall, page: Page, noted: bool = True) -> HttpResponse:
    """Answer a page as a PDF, or say in a sentence why there is none.

    What was posted for is noted as printed, unless it is no paper of the wall.
    """
    try:
        pdf = printing.pdf_of(page)
    except NotRendered as failed:
        log.error("%s of day %s: %s", page.key, wall.day.pk, failed)
        sentence, cure = _why(failed)
        context = {"day": wall.day, "way": way_of(wall.day, "papers", wall.plan), "plan": wall.plan}
        context |= {"sentence": page.sentence or sentence, "cure": cure}
        return TemplateResponse(request, "papers/no_pdf.html", context, status=503)
    if noted and request.method == "POST":
        printing.mark_printed([page], wall.day, request.person)
    return answer_file(pdf, "application/pdf", "inline", printing.file_name(page, wall.day))


def answer_held_back(request: TeacherRequest, wall: Wall) -> HttpResponse:
    """Say which STOPs keep the papers back, instead of a paper."""
    context = {"day": wall.day, "way": way_of(wall.day, "papers", wall.plan), "plan": wall.plan, "stops": wall.stops}
    return TemplateResponse(request, "casting/papers/held_back.html", context, status=409)


def answer_file(content: bytes, kind: str, shown: str, name: str) -> HttpResponse:
    """Answer a file; `shown` is inline or attachment."""
    response = HttpResponse(content, content_type=kind)
    response["Content-Disposition"] = f'{shown}; filename="{name}"'
    response["X-Content-Type-Options"] = "nosniff"
    return response


def origin_of(request: HttpRequest) -> str:
    """Return the site that the browser asked: it goes into the codes on the papers."""
    return f"{request.scheme}://{request.get_host()}"


def _why(failed: NotRendered) -> tuple[str, str]:
    """What a teacher is told, and what whoever keeps the server can do."""
    if isinstance(failed, PangoMissing):
        return _("PDFs cannot be made on this machine yet, because Pango is missing."), PANGO_HINT
    return _("The PDF could not be made. The plan itself is unharmed: print the day plan page instead."), ""
