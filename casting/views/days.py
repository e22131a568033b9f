"""The casting days of a school, and a new one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django.db.models import Count, Q
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from casting.forms.days import DayForm
from casting.models import CastingDay, Flask
from casting.models.errors import NotPlanned
from casting.papers.change_effects import digest_of, effects_of_change
from casting.presenters.day_history import history_of_day
from casting.presenters.set_up import SetUp
from casting.services import day_life
from casting.services import days as day_services
from casting.services.day_shut import DayShut, refuse_if_shut
from casting.services.shelf import ChangedMeanwhile
from school.access import TeacherRequest, helper_required, posted_from, teacher_required
from school.forms.versioned import Since, boxes_of, saved_by, seen_as, since, version_in


@require_safe
@helper_required
def days(request: TeacherRequest) -> HttpResponse:
    """List the school's casting days: those to come, the nearest first, then those past, the latest first.

    Closed ones, and cancelled ones that are past, stand apart as earlier days.
    """
    rows = CastingDay.objects.listed(request.person).annotate(
        waxes_in=Count("waxes", filter=Q(waxes__withdrawn_at__isnull=True), distinct=True),
        plans_made=Count("plans", distinct=True),
    )
    now = timezone.now()
    listed = sorted(rows, key=lambda day: (day.pour_at < now, abs(day.pour_at - now)))
    earlier = [day for day in listed if day.ended_at or (day.cancelled_at and day.pour_at < now)]
    open_set_up = request.person.is_teacher and request.school.set_up_ended_at is None
    context = {
        "days": [day for day in listed if day not in earlier],
        "earlier": earlier,
        "way_through": SetUp(request.school) if open_set_up else None,
    }
    return TemplateResponse(request, "casting/days/days.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def new_day(request: TeacherRequest) -> HttpResponse:
    """Announce a casting day; filled in from the one that `like` names, else from the last that was announced."""
    announced, like = CastingDay.objects.listed(request.person), request.GET.get("like", "")
    before = get_object_or_404(announced, pk=like) if like.isdecimal() else announced.order_by("-pk").first()
    form = DayForm(request.POST if request.method == "POST" else None, person=request.person, like=before)
    if not form.is_valid():
        status = 422 if form.is_bound else 200
        context = {"form": form, "before": before}
        return TemplateResponse(request, "casting/days/new_day.html", context, status=status)
    day = day_services.announce(form.cleaned_data["course"], form.entry(), request.person)
    return redirect("waxes", day.pk)


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def change_day(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Change an announced day: its pour, its metals, its hours. Its waxes stay. An offered change is filled in."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    if request.method != "POST":
        return _change_page(request, day, DayForm(None, person=request.person, day=day, offered=request.GET))
    form = DayForm(request.POST, person=request.person, day=day)
    try:
        refuse_if_shut(day)
        if version_in(request.POST) != day.version:
            raise ChangedMeanwhile
        if not form.is_valid():
            return _change_page(request, day, form, status=422)
        effects = effects_of_change(day, form.entry())
        if effects and request.POST.get("effects") != digest_of(effects):
            return _change_page(request, day, form, effects=effects)
        day_services.change(day, form.entry(), by=request.person, version=version_in(request.POST))
    except DayShut as refusal:
        form.add_error(None, refusal.sentence)
        return _change_page(request, day, form, status=409)
    except ChangedMeanwhile:
        return _changed_meanwhile(request, get_object_or_404(CastingDay.objects.of(request.person), pk=day_id))
    return redirect("waxes", day.pk)


def _changed_meanwhile(request: TeacherRequest, now: CastingDay) -> HttpResponse:
    """The page with what was typed over what is saved now; the next press saves it."""
    shown, history = DayForm(None, person=request.person, day=now), history_of_day(now)
    found = since(request.POST, shown, saved_by(history[-1].who if history else ""), shown.full_labels())
    form = DayForm(found.data, person=request.person, day=now)
    return _change_page(request, now, form, status=409, found=found)


def _change_page(
    request: TeacherRequest,
    day: CastingDay,
    form: DayForm,
    status: int = 200,
    found: Since | None = None,
    effects: Sequence[str] = (),
    wrong: Mapping[str, str] | None = None,
) -> TemplateResponse:
    context = {
        "form": form,
        "day": day,
        "version": day.version,
        "seen": seen_as(boxes_of(DayForm(None, person=request.person, day=day))),
        "since": found,
        "effects": effects,
        "effects_seen": digest_of(effects),
        "wrong": wrong,
        "left": day_life.not_poured(day) if day.pour_has_begun() else [],
        "on_bench": sorted(label for label, state in day.states().items() if state == Flask.State.INVESTED),
        "history": history_of_day(day)[::-1],
    }
    return TemplateResponse(request, "casting/days/change_day.html", context, status=status)


@posted_from("change_day", "day_id")
@teacher_required
def day_state(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Cancel a day or close it, or take that back; what was typed stays where it is refused."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    do, why = request.POST.get("do", ""), request.POST.get("why", "")
    try:
        match do:
            case "cancel":
                day_life.cancel(day, why, by=request.person)
            case "end":
                day_life.end(day, why, by=request.person)
            case "uncancel":
                day_life.uncancel(day, by=request.person)
            case "reopen":
                day_life.reopen(day, by=request.person)
            case _:
                raise Http404("a day has no such state")
    except NotPlanned as refusal:
        form = DayForm(None, person=request.person, day=day)
        wrong = {"do": do, "why": why, "sentence": refusal.sentence}
        return _change_page(request, day, form, status=422, wrong=wrong)
    return redirect("change_day" if do == "reopen" else "waxes", day.pk)
