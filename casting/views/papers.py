"""The papers of a day as PDFs, each made from the stored plan."""

from __future__ import annotations

import logging

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from casting.models import CastingDay, Plan
from casting.papers.day_plan import day_plan_pdf as pdf_of
from casting.papers.render import NotRendered, PangoMissing
from casting.way import way_of
from school.access import TeacherRequest, teacher_required
from school.checks import PANGO_HINT

log = logging.getLogger(__name__)


@require_safe
@teacher_required
def day_plan_pdf(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Answer the day plan of the last plan as a PDF, or say in a sentence why there is none."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    plan = Plan.objects.latest_of(day)
    if plan is None:
        raise Http404("no plan has been made")
    plan.day = day
    try:
        pdf = pdf_of(plan)
    except NotRendered as failed:
        log.error("day plan %s of day %s: %s", plan.revision, day.pk, failed)
        sentence, cure = _why(failed)
        context = {"day": day, "way": way_of(day, "day_plan", plan), "sentence": sentence, "cure": cure}
        return TemplateResponse(request, "papers/no_pdf.html", context, status=503)
    response = HttpResponse(pdf, content_type="application/pdf")
    name = f"day-plan-{day.pour_local():%Y-%m-%d}-revision-{plan.revision}.pdf"
    response["Content-Disposition"] = f'inline; filename="{name}"'
    response["X-Content-Type-Options"] = "nosniff"
    return response


def _why(failed: NotRendered) -> tuple[str, str]:
    """What a teacher is told, and what whoever keeps the server can do."""
    if isinstance(failed, PangoMissing):
        return _("PDFs cannot be made on this machine yet, because Pango is missing."), PANGO_HINT
    return _("The PDF could not be made. The plan itself is unharmed: print the day plan page instead."), ""
