"""Two plans of a day side by side, and an earlier revision brought back onto the board."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from casting.forms.board import WHOLE, read_revision
from casting.models import CastingDay, PaperPrinted, Plan
from casting.models.errors import NotPlanned
from casting.papers.printing import printed_from
from casting.presenters.board_beside import Beside
from casting.presenters.navigation import day_context
from casting.presenters.opened_plan import OpenedPlan
from casting.services.board import bring_back
from school.access import TeacherRequest, helper_required, posted_from, teacher_required


@require_safe
@helper_required
def board_beside(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show the board's plan above another: a revision by its number in `with`, or what a search found."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    plan = Plan.objects.latest_of(day)
    if plan is None:
        return redirect("board", day.pk)
    opened, prints = OpenedPlan(plan), PaperPrinted.objects.of_day(day)
    beside = Beside(opened, request.GET.get("with", ""))
    context = day_context(day, plan, "board") | {
        "beside": beside,
        "printed": any(one.revision for rows in prints.values() for one in rows),
        "printed_from": printed_from(prints, beside.other.plan.revision if beside.other else None),
        "units": opened.units,
        "may_take": request.person.is_teacher and not day.why_shut,
    }
    return TemplateResponse(request, "casting/board/beside.html", context)


@posted_from("board_beside", "day_id")
@teacher_required
def board_bring_back(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Bring an earlier revision back onto the board; else say why not, and change nothing."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    number = request.POST.get("number", "")
    try:
        if not WHOLE.fullmatch(number):
            raise NotPlanned(_("“%(text)s” is no revision of a plan. Choose one of the list.") % {"text": number[:40]})
        bring_back(day, int(number), revision=read_revision(request.POST), by=request.person)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
        return redirect("board_beside", day.pk)
    return redirect("board", day.pk)
