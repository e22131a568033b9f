"""The defects of a day's pieces: noted, held against the day's own record, taken back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from casting.forms.defects import DefectForm
from casting.forms.photo_sent import Place, photo_answer, take_sent
from casting.models import CastingDay, DefectPhoto, Flask, PieceDefect, Plan, Wax
from casting.models.errors import NotPlanned
from casting.presenters.formats import units_of
from casting.presenters.looking_back.defects import said_defects
from casting.presenters.navigation import day_context
from casting.selectors.flasks import flask_of
from casting.selectors.kept_shelf import standing_waxes
from casting.services.looking_back import defects as defect_services
from casting.services.looking_back.defect_photos import keep_picture, remove_picture
from casting.services.looking_back.sprues import note_sprue
from school.access import TeacherRequest, helper_required, posted_from


@require_http_methods(["GET", "HEAD", "POST"])
@helper_required
def defects(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show the day's defects with their likely causes; note one that is posted, or the sprue of one."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    plan = Plan.objects.latest_of(day)
    cast = _cast(day, plan)
    if request.method != "POST":
        return _page(request, day, plan, cast, DefectForm(pieces=cast))
    if "sprue_of" in request.POST:
        return _measure_sprue(request, day, plan, cast)
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


def _measure_sprue(request: TeacherRequest, day: CastingDay, plan: Plan | None, cast: Sequence[Wax]) -> HttpResponse:
    """Note how thick and long the sprue of a piece is, or take it back; else say why not."""
    typed = {name: request.POST.get(name, "")[:40] for name in ("sprue_of", "thick", "long")}
    wax = get_object_or_404(day.waxes.standing(), tag=typed["sprue_of"])
    try:
        note_sprue(wax, typed["thick"], typed["long"], by=request.person)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
        return _page(request, day, plan, cast, DefectForm(pieces=cast), status=422, refused=typed)
    return redirect("defects", day.pk)


@posted_from("defects", "day_id")
@helper_required
def take_back_defect(request: TeacherRequest, day_id: int, defect_id: int) -> HttpResponse:
    """Take a defect back that was noted by mistake."""
    defect = _of_day(request, day_id, defect_id)
    try:
        defect_services.take_back_defect(defect, by=request.person)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
    return redirect("defects", day_id)


@posted_from("defects", "day_id")
@helper_required
def keep_defect_photo(request: TeacherRequest, day_id: int, defect_id: int) -> HttpResponse:
    """Keep the picture of a defect, or take it away."""
    defect, page = _of_day(request, day_id, defect_id), reverse("defects", args=[day_id])
    said = {"tag": defect.wax.tag}
    place = Place(
        keep=lambda sent, at: keep_picture(defect, sent, at=at),
        remove=lambda: remove_picture(defect),
        kept=_("The picture of the defect of %(tag)s is kept.") % said,
        removed=_("The picture of the defect of %(tag)s is taken away.") % said,
        page=page,
    )
    return take_sent(request, place) or redirect(f"{page}#defect-{defect.pk}")


@require_safe
@helper_required
def defect_photo(request: TeacherRequest, day_id: int, defect_id: int, part: str = "jpeg") -> HttpResponse:
    """The picture of a defect, or the small one."""
    defect = _of_day(request, day_id, defect_id)
    return photo_answer(DefectPhoto.objects.filter(defect=defect), part, f"defect-{defect.wax.tag}")


def _of_day(request: TeacherRequest, day_id: int, defect_id: int) -> PieceDefect:
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    return get_object_or_404(PieceDefect.objects.filter(wax__day=day).select_related("wax"), pk=defect_id)


def _cast(day: CastingDay, plan: Plan | None) -> list[Wax]:
    """The waxes of flasks that are poured."""
    home, states = flask_of(plan), day.states()
    return [wax for wax in standing_waxes(day) if states.get(home.get(wax.tag, "")) == Flask.State.POURED]


def _page(
    request: TeacherRequest,
    day: CastingDay,
    plan: Plan | None,
    cast: Sequence[Wax],
    form: DefectForm,
    status: int = 200,
    refused: Mapping[str, Any] | None = None,
) -> TemplateResponse:
    """The page; `refused` is what was typed of a sprue and not noted."""
    context = day_context(day, plan, "defects") | {"form": form, "cast": cast, "defects": said_defects(day, plan)}
    context |= {"refused": refused, "ruler": units_of(day.course.school).length.value}
    return TemplateResponse(request, "casting/looking_back/defects.html", context, status=status)
