"""The day plan: its steps in order, mixes, firings and pours."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.template.response import TemplateResponse
from django.views.decorators.http import require_safe

from casting.models import CastingDay, Plan
from casting.presenters.navigation import day_context, plan_context
from casting.presenters.opened_plan import OpenedPlan
from school.access import TeacherRequest, teacher_required


@require_safe
@teacher_required
def day_plan(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show the day of its last plan from the first thing done to the last; without one, the next step."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    plan = Plan.objects.latest_of(day)
    if plan is None:
        return TemplateResponse(request, "casting/flasks/no_plan.html", day_context(day, None, "day_plan"))
    context = plan_context(OpenedPlan(plan), "day_plan")
    return TemplateResponse(request, "casting/day_plan/day_plan.html", context)
