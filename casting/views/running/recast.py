"""The recast list of a day and of the school, and what is decided on it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from casting.forms.recast import RecastForm
from casting.models import CastingDay, Plan, Recast, Wax
from casting.models.errors import NotPlanned
from casting.presenters.navigation import day_context
from casting.presenters.recast import recast_list
from casting.selectors.recast import open_days_of
from casting.services.running.recast import decide_who_pays, keep_place, put_on_list
from school.access import TeacherRequest, helper_required, posted_from, teacher_required


@require_safe
@helper_required
def recast(request: TeacherRequest, day_id: int | None = None) -> HttpResponse:
    """Show the pieces that are cast again: of a day, or all of the school in turn."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id) if day_id is not None else None
    context = day_context(day, Plan.objects.latest_of(day), "recast_of_day") if day else {}
    listed = recast_list(request.person, day)
    return TemplateResponse(request, "casting/running/recast.html", context | {"listed": listed, "of_day": day})


@posted_from("recast")
@teacher_required
def recast_piece(request: TeacherRequest, recast_id: int) -> HttpResponse:
    """Keep a place for a piece on a day, and decide who pays for its first casting; else say why not."""
    row = get_object_or_404(Recast.objects.of(request.person).in_turn(), pk=recast_id)
    days = open_days_of([row]).get(row.wax.student.course_id, [])
    form = RecastForm(request.POST, days=[*days, *([row.next_day] if row.next_day else [])])
    if not form.is_valid():
        messages.error(request, form.first_error)
        return _back(request, row.wax.day_id)
    try:
        if "pays" in request.POST:
            decide_who_pays(row, form.cleaned_data["pays"], by=request.person)
        keep_place(row, form.cleaned_data["next_day"], by=request.person)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
    else:
        messages.success(request, _("Kept for %(tag)s.") % {"tag": row.wax.tag})
    return _back(request, row.wax.day_id)


@posted_from("recast_of_day", "day_id")
@helper_required
def put_on_recast(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Put a piece on the list that did not come out or did not fill; else say why not."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    wax = get_object_or_404(Wax.objects.filter(day=day), tag=request.POST.get("tag", "")[:2])
    try:
        put_on_list(wax, by=request.person)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
    return redirect("recast_of_day", day.pk)


def _back(request: TeacherRequest, day_id: int) -> HttpResponse:
    """The list that was pressed: that of the day, or that of the school."""
    return redirect("recast_of_day", day_id) if request.POST.get("of_day") else redirect("recast")
