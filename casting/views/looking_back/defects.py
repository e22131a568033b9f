"""The defects of a day's pieces: noted, held against the day's own record, taken back."""

from __future__ import annotations

from collections.abc import Sequence

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.views.decorators.http import require_http_methods

from casting.forms.defects import DefectForm
from casting.models import CastingDay, Flask, PieceDefect, Plan, Wax
from casting.models.errors import NotPlanned
from casting.presenters.looking_back.defects import said_defects
from casting.presenters.navigation import day_context
from casting.selectors.flasks import flask_of
from casting.services.looking_back import defects as defect_services
from school.access import TeacherRequest, helper_required, posted_from


@require_http_methods(["GET", "HEAD", "POST"])
@helper_required
def defects(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show the day's defects with their likely causes; note one that is posted."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    plan = Plan.objects.latest_of(day)
    cast = _cast(day, plan)
    if request.method != "POST":
        return _page(request, day, plan, cast, DefectForm(pieces=cast))
    form = DefectForm(request.POST, pieces=cast)
    if not form.is_valid():
        return _page(request, day, plan, cast, form, status=422)
    entry = form.cleaned_data
    try:
        defect_services.note_defect(
            entry["piece"], kind=entry["kind"], where=entry["where"], note=entry["note"], by=request.person
        )
    except NotPlanned as refusal:
        form.add_error(None, refusal.sentence)
        return _page(request, day, plan, cast, form, status=409)
    return redirect("defects", day.pk)


@posted_from("defects", "day_id")
@helper_required
def take_back_defect(request: TeacherRequest, day_id: int, defect_id: int) -> HttpResponse:
    """Take a defect back that was noted by mistake."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    defect = get_object_or_404(PieceDefect.objects.filter(wax__day=day), pk=defect_id)
    try:
        defect_services.take_back_defect(defect, by=request.person)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
    return redirect("defects", day.pk)


def _cast(day: CastingDay, plan: Plan | None) -> list[Wax]:
    """The waxes of flasks that are poured."""
    home, states = flask_of(plan), day.states()
    return [wax for wax in day.waxes.standing() if states.get(home.get(wax.tag, "")) == Flask.State.POURED]


def _page(
    request: TeacherRequest,
    day: CastingDay,
    plan: Plan | None,
    cast: Sequence[Wax],
    form: DefectForm,
    status: int = 200,
) -> TemplateResponse:
    context = day_context(day, plan, "defects") | {"form": form, "cast": cast, "defects": said_defects(day, plan)}
    return TemplateResponse(request, "casting/looking_back/defects.html", context, status=status)
