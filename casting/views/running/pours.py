"""The page at the torch, and the presses on it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from casting.calc.values.enums import Do
from casting.models import CastingDay, Plan
from casting.models.errors import NotPlanned
from casting.papers.running_late import out_of_time
from casting.presenters.navigation import day_context, plan_context
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.running.pours_page import PoursPage, version_of
from casting.services.poured import PourDoubted
from casting.services.running.after_pour import QuenchDoubted
from casting.services.running.ticks import Press, press
from casting.views.running.pressed import pressed_in
from school.access import TeacherRequest, helper_required, posted_from


@require_safe
@helper_required
def pours(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show the flask whose turn it is; 204 if the page that asks shows that already."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    return _page(request, day)


@posted_from("pours", "day_id")
@helper_required
def tick(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Tick a step or take it back; else say why not, or ask."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    pressed = pressed_in(request)
    if pressed.do == Do.KILN_ON:
        return _kiln_on(request, day, pressed)
    try:
        press(day, pressed, by=request.person)
    except (PourDoubted, QuenchDoubted) as asked:
        messages.error(request, asked.sentence)
        return _page(request, day, asked=pressed)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
        return _page(request, day, status=422)
    return redirect(_with(reverse("pours", args=[day.pk]), flask=_in_hand(request)))


def _kiln_on(request: TeacherRequest, day: CastingDay, pressed: Press) -> HttpResponse:
    """A kiln that is on, or not, as its own page says."""
    try:
        press(day, pressed, by=request.person)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
    return redirect(_with(reverse("kiln_room", args=[day.pk]), kiln=pressed.what))


def _in_hand(request: TeacherRequest) -> str:
    """The flask that somebody holds, as its card's address says; it stays in front until it is poured."""
    return request.GET.get("flask", "")[:3]


def _with(address: str, **given: str) -> str:
    """An address with what is given, as far as it is."""
    asked = urlencode({name: value for name, value in given.items() if value})
    return f"{address}?{asked}" if asked else address


def _page(request: TeacherRequest, day: CastingDay, *, status: int = 200, asked: Press | None = None) -> HttpResponse:
    plan = Plan.objects.latest_of(day)
    if plan is None:
        return TemplateResponse(request, "casting/flasks/no_plan.html", day_context(day, None, "pours"), status=status)
    version = version_of(day, plan.revision, timezone.now())
    if request.GET.get("version") == version:
        return HttpResponse(status=204)
    opened = OpenedPlan(plan)
    in_hand = _in_hand(request)
    context = plan_context(opened, "pours") | {
        "page": PoursPage(opened, asked.what if asked else in_hand),
        "version": version,
        "tick_at": _with(reverse("tick", args=[day.pk]), flask=in_hand),
        "asked": asked,
        "out_of_time": out_of_time(plan),
    }
    return TemplateResponse(request, "casting/running/pours.html", context, status=422 if asked else status)
