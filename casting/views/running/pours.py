"""The page at the torch, and the presses on it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_safe

from casting.calc.values.enums import Do
from casting.models import CastingDay
from casting.models.errors import NotPlanned
from casting.papers.running_late import out_of_time
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.running.pours_page import PoursPage
from casting.services.poured import PourDoubted
from casting.services.running.after_pour import QuenchDoubted
from casting.services.running.ticks import Press, press
from casting.views.running.bench_page import bench_page, with_query
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
        return _page(request, day, refused=pressed)
    return redirect(with_query(reverse("pours", args=[day.pk]), flask=_in_hand(request)))


def _kiln_on(request: TeacherRequest, day: CastingDay, pressed: Press) -> HttpResponse:
    """A kiln that is on, or not, as its own page says."""
    try:
        press(day, pressed, by=request.person)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
    return redirect(with_query(reverse("kiln_room", args=[day.pk]), kiln=pressed.what))


def _in_hand(request: TeacherRequest) -> str:
    """The flask that somebody holds, as its card's address says; it stays in front until it is poured."""
    return request.GET.get("flask", "")[:3]


def _page(
    request: TeacherRequest, day: CastingDay, *, asked: Press | None = None, refused: Press | None = None
) -> HttpResponse:
    """The page; `asked` is what is noted if it is right all the same, `refused` what was not noted."""
    in_hand = _in_hand(request)

    def shown(opened: OpenedPlan) -> dict[str, Any]:
        return {
            "page": PoursPage(opened, asked.what if asked else in_hand),
            "tick_at": with_query(reverse("tick", args=[day.pk]), flask=in_hand),
            "asked": asked,
            "refused": refused,
            "out_of_time": out_of_time(opened.plan),
        }

    return bench_page(
        request, day, "casting/running/pours.html", "pours", shown, status=422 if asked or refused else 200
    )
