"""The waxes of a day for the teacher: who has handed in, closing hand-in, holding a wax to a flask."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from casting.calc.values.errors import Refused
from casting.forms.days import HoldForm
from casting.models import CastingDay, Plan, Wax
from casting.models.errors import NotPlanned
from casting.presenters.formats import units_of
from casting.presenters.navigation import day_context
from casting.presenters.nearest import nearest_of
from casting.presenters.recast import places_kept
from casting.presenters.refusals import refusal_of
from casting.presenters.second_choice import second_choices
from casting.presenters.wax_list import ORDERS, listed, sums_of
from casting.presenters.wax_preview import WaxAnswer, answers_in
from casting.selectors.day_file import day_values_of, is_outdated
from casting.selectors.kept_shelf import standing_waxes
from casting.selectors.searches import status_of
from casting.services import flasks as flask_services
from casting.services import waxes as wax_services
from casting.services.day_shut import DayShut
from casting.services.days import close_hand_in, reopen_hand_in
from school.access import TeacherRequest, helper_required, posted_from, teacher_required
from school.forms.versioned import version_in
from school.models import Student


@require_safe
@helper_required
def waxes(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show every wax of the day with its metal, and who has handed in none."""
    return _page(request, get_object_or_404(CastingDay.objects.of(request.person), pk=day_id))


def _page(request: TeacherRequest, day: CastingDay, typed: Mapping[int, str] | None = None) -> TemplateResponse:
    """The page of a day; `typed` are labels that were not taken, by the wax they were typed for."""
    typed = typed or {}
    rows = standing_waxes(day, "held")
    values, answers, refused = _answers(day)
    has = {wax.student_id for wax in rows}
    search = status_of(day)
    plan = Plan.objects.latest_of(day)
    metal, order = request.GET.get("metal", ""), request.GET.get("by", "")
    shown = listed(rows, metal, order)
    barred = [wax for wax in rows if wax.tag in answers and answers[wax.tag].left_out]
    seconds = second_choices(day, barred, values)
    context = day_context(day, plan, "waxes") | {
        "search": search,
        "nearest": nearest_of(day, search, plan),
        "waxes": [
            (wax, answers.get(wax.tag), typed.get(wax.pk, held_to(wax)), wax.pk in typed, seconds.get(wax.tag))
            for wax in shown
        ],
        "count": len(rows),
        "may_keep": request.person.is_teacher and not day.why_shut,
        "any_kept": any(held_to(wax) for wax in rows),
        "sums": sums_of(rows, answers),
        "metal": metal if len(shown) < len(rows) else "",
        "order": order if order in ORDERS else "tag",
        "poured": day.pour_has_begun(),
        "places": places_kept(day),
        "without": Student.objects.here().filter(course=day.course).exclude(pk__in=has).order_by("called"),
        "withdrawn": day.waxes.filter(withdrawn_at__isnull=False).select_related("student").order_by("tag"),
        "refused": refused,
        "outdated": plan is not None and not refused and is_outdated(plan, values),
        "open": day.hand_in_open(),
    }
    return TemplateResponse(request, "casting/waxes/waxes.html", context, status=422 if typed else 200)


def held_to(wax: Wax) -> str:
    """The label of the flask that a wax is held to; empty if it may go anywhere."""
    return wax.held.label if hasattr(wax, "held") else ""


def _answers(day: CastingDay) -> tuple[Mapping[str, Any], Mapping[str, WaxAnswer], str]:
    """The values of the day file and the answer for each wax, or the sentence that says why there is none."""
    try:
        values = day_values_of(day)
    except NotPlanned as refusal:
        return {}, {}, refusal.sentence
    try:
        return values, answers_in(values, units_of(day.course.school)), ""
    except Refused as refusal:
        return {}, {}, refusal_of(refusal, values, units_of(day.course.school))


@posted_from("waxes", "day_id")
@teacher_required
def close_waxes(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Close hand-in, or open it again."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    try:
        if request.POST.get("do") == "reopen":
            reopen_hand_in(day)
            messages.success(request, _("Hand-in is open again, until you close it."))
        else:
            close_hand_in(day)
            messages.success(request, _("Hand-in is closed."))
    except DayShut as refusal:
        messages.error(request, refusal.sentence)
    return redirect("waxes", day.pk)


@posted_from("waxes", "day_id")
@teacher_required
def hold_wax(request: TeacherRequest, day_id: int, wax_id: int) -> HttpResponse:
    """Hold a wax to the flask of a label, or let it go."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    wax = get_object_or_404(day.waxes.standing(), pk=wax_id)
    form = HoldForm(request.POST)
    if not form.is_valid():
        sentence = _("Wax %(tag)s is not kept in a flask: %(why)s")
        messages.error(request, sentence % {"tag": wax.tag, "why": form.errors["label"][0]})
        return _page(request, day, {wax.pk: request.POST.get("label", "")})
    try:
        flask_services.hold_wax(wax, form.cleaned_data["label"], request.person)
    except NotPlanned as refusal:
        messages.error(
            request, _("Wax %(tag)s is not kept in a flask. %(why)s") % {"tag": wax.tag, "why": refusal.sentence}
        )
        return _page(request, day, {wax.pk: form.cleaned_data["label"]})
    return redirect("waxes", day.pk)


@posted_from("waxes", "day_id")
@teacher_required
def take_second(request: TeacherRequest, day_id: int, wax_id: int) -> HttpResponse:
    """Cast a wax in its student's second-choice metal, and go back to the page of the button."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    wax = get_object_or_404(day.waxes.standing(), pk=wax_id)
    try:
        wax = wax_services.take_second_choice(wax, by=request.person, version=version_in(request.POST))
        sentence = _("Wax %(tag)s is now to be cast in %(metal)s. Make the plan again.")
        messages.success(request, sentence % {"tag": wax.tag, "metal": wax.alloy.called})
    except wax_services.NotWritten as refusal:
        messages.error(request, refusal.sentence)
    page = request.POST.get("page")
    return redirect(page if page in ("board", "flasks") else "waxes", day.pk)


@posted_from("waxes", "day_id")
@teacher_required
def return_wax(request: TeacherRequest, day_id: int, wax_id: int) -> HttpResponse:
    """Give a withdrawn wax back to the day, or withdraw it again."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    wax = get_object_or_404(day.waxes, pk=wax_id)
    try:
        if request.POST.get("do") == "undo" and wax.withdrawn_at is None:
            wax_services.withdraw(wax, by=request.person, version=wax.version)
            messages.success(request, _("Wax %(tag)s is withdrawn.") % {"tag": wax.tag})
        elif request.POST.get("do") != "undo" and wax.withdrawn_at is not None:
            wax_services.bring_back(wax, by=request.person, version=wax.version)
            messages.success(request, _("Wax %(tag)s is given back. Make the plan again.") % {"tag": wax.tag})
    except wax_services.Outdated:
        sentence = _("Wax %(tag)s was changed on another screen just now. Look at it as it is, then press again.")
        messages.error(request, sentence % {"tag": wax.tag})
    except wax_services.NotWritten as refusal:
        messages.error(request, refusal.sentence)
    return redirect("waxes", day.pk)
