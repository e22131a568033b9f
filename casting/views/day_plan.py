"""The day plan: its steps in order, mixes, firings and pours."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.template.response import TemplateResponse
from django.views.decorators.http import require_safe

from casting.models import CastingDay, Plan
from casting.presenters.cautions import cautions_of
from casting.presenters.navigation import way_of
from casting.presenters.opened_plan import open_plan, outdated
from school.access import TeacherRequest, teacher_required


@require_safe
@teacher_required
def day_plan(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show the day of its last plan from the first thing done to the last; without one, the next step."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    plan = Plan.objects.latest_of(day)
    context = {"day": day, "way": way_of(day, "day_plan", plan), "plan": plan}
    if plan is None:
        return TemplateResponse(request, "casting/flasks/no_plan.html", context)
    plan.day = day
    opened = open_plan(plan)
    context |= {"opened": opened, "sheet": opened.sheet, "units": opened.units, "outdated": outdated(plan)}
    cautions = cautions_of(plan)
    context |= {"cautions": cautions, "held_back": [caution for caution in cautions if caution.holds_back]}
    return TemplateResponse(request, "casting/day_plan/day_plan.html", context)
