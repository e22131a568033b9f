"""The flasks of a day: each drawn to scale, with what to weigh out for it and why."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.template.response import TemplateResponse
from django.views.decorators.http import require_safe

from casting.models import CastingDay, Plan
from casting.opened import open_plan, outdated
from casting.way import way_of
from school.access import TeacherRequest, teacher_required


@require_safe
@teacher_required
def flasks(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show the flasks of the day's last plan; without one, the next step."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    plan = Plan.objects.latest_of(day)
    context = {"day": day, "way": way_of(day, "flasks", plan), "plan": plan}
    if plan is None:
        return TemplateResponse(request, "casting/flasks/no_plan.html", context)
    plan.day = day
    opened = open_plan(plan)
    context |= {"opened": opened, "sheet": opened.sheet, "units": opened.units, "outdated": outdated(plan)}
    return TemplateResponse(request, "casting/flasks/flasks.html", context)
