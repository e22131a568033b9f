"""The day plan: its steps in order, mixes, firings and pours."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.views.decorators.http import require_safe

from casting.models import CastingDay, Plan
from casting.models.errors import NotPlanned
from casting.presenters.calendar_file import calendar_file
from casting.presenters.cautions import safety_record_of
from casting.presenters.day_outline import outline_of
from casting.presenters.navigation import day_context, plan_context
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.people import on_call_of, people_beside
from casting.services.flasks import note_kiln
from school.access import TeacherRequest, helper_required, posted_from


@require_safe
@helper_required
def day_plan(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show the day of its last plan from the first thing done to the last; without one, the next step."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    plan = Plan.objects.latest_of(day)
    if plan is None:
        return TemplateResponse(request, "casting/flasks/no_plan.html", day_context(day, None, "day_plan"))
    opened = OpenedPlan(plan)
    who = on_call_of(day, safety_record_of(day.course.school))
    context = plan_context(opened, "day_plan") | {
        "outline": outline_of(opened.sheet, people_beside(plan.file, opened.day, who))
    }
    return TemplateResponse(request, "casting/day_plan/day_plan.html", context)


@require_safe
@helper_required
def day_calendar(request: TeacherRequest, day_id: int) -> HttpResponse:
    """The day of its last plan for a calendar; without a plan there is none."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    plan = Plan.objects.latest_of(day)
    if plan is None:
        raise Http404("nothing is planned")
    opened = OpenedPlan(plan)
    name = f"casting-day-{opened.sheet.pour_at:%Y-%m-%d}.ics"
    return HttpResponse(
        calendar_file(opened),
        content_type="text/calendar; charset=utf-8; method=PUBLISH",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


@posted_from("day_plan", "day_id")
@helper_required
def mark_kiln(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Note that a kiln is on, or take the note back; else say why not."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    try:
        note_kiln(day, request.POST.get("kiln", ""), on=request.POST.get("do") != "undo", by=request.person)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
    return redirect("day_plan", day.pk)
