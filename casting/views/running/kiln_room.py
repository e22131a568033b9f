"""The page in the kiln room, and the readings written down on it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_safe

from casting.models import CastingDay
from casting.models.errors import NotPlanned
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.running.kiln_room import KilnRoomPage
from casting.services.running.readings import note_reading, take_away_reading
from casting.views.running.bench_page import bench_page, with_query
from casting.views.running.pressed import pressed_at
from school.access import TeacherRequest, helper_required, posted_from


@require_safe
@helper_required
def kiln_room(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show what a kiln does now and next; 204 if the page that asks shows that already."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)

    def shown(opened: OpenedPlan) -> dict[str, Any]:
        page = KilnRoomPage(opened, request.GET.get("kiln", ""))
        return {"page": page, "kiln": page.kiln}

    return bench_page(request, day, "casting/running/kiln_room.html", "kiln_room", shown)


@posted_from("kiln_room", "day_id")
@helper_required
def kiln_reading(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Write down what a kiln reads, or take a reading away; else say why not."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    kiln, number = request.POST.get("what", "")[:40], request.POST.get("away", "")
    try:
        if number.isascii() and number.isdigit() and len(number) < 15:
            take_away_reading(day, int(number), by=request.person)
        else:
            at = pressed_at(request.POST.get("at", ""))
            note_reading(day, kiln, request.POST.get("reads", ""), by=request.person, at=at)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
    return redirect(with_query(reverse("kiln_room", args=[day.pk]), kiln=kiln))
