"""Lists to take away as CSV: the waxes of a day, the charges of its plan, the shelf."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from casting.calc.values.errors import Refused
from casting.forms.shelf.csv_rows import shelf_header, shelf_rows
from casting.models import CastingDay, Plan
from casting.models.errors import NotPlanned
from casting.presenters.csv_lists import charges_table, waxes_table
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.shelf_page import KINDS
from casting.presenters.wax_preview import answers_for
from casting.services.waxes import JOINED
from school.access import TeacherRequest, helper_required, teacher_required
from school.csv_file import answer_csv


@require_safe
@helper_required
def waxes_csv(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Answer the waxes of a day, withdrawn ones too."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    waxes = list(day.waxes.select_related(*JOINED, "student").order_by("tag"))
    try:
        answers = answers_for(day, [wax for wax in waxes if wax.withdrawn_at is None])
    except (Refused, NotPlanned):
        answers = {}
    return answer_csv(f"waxes-{day.pour_local():%Y-%m-%d}", *waxes_table(waxes, answers, request.school))


@require_safe
@helper_required
def charges_csv(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Answer the charges of the day's last plan; none while a STOP stops it."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    plan = Plan.objects.latest_of(day)
    if plan is None:
        raise Http404("nothing is planned")
    opened = OpenedPlan(plan)
    if opened.held_back:
        messages.error(request, _("A STOP stops this plan. Settle it first; then its charges can be taken out."))
        return redirect("flasks", day.pk)
    return answer_csv(f"charges-{day.pour_local():%Y-%m-%d}-revision-{plan.revision}", *charges_table(opened))


@require_safe
@teacher_required
def shelf_csv(request: TeacherRequest) -> HttpResponse:
    """Answer every figure of what the school owns: metals and equipment."""
    return answer_csv("shelf", shelf_header(), shelf_rows(KINDS.values(), request.school))
