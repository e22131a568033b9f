"""The presses of "Something went wrong", from the page at the torch and the one in the kiln room."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from casting.models import CastingDay
from casting.models.errors import NotPlanned
from casting.services.running.mishaps import Met, decide_piece, note_mishap, take_back_mishap
from casting.views.running.bench_page import with_query
from casting.views.running.pressed import pressed_at
from school.access import TeacherRequest, helper_required, posted_from

MOST_FLASKS = 60


@posted_from("pours", "day_id")
@helper_required
def mishap(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Note what went wrong, or what becomes of a piece, or take it back; else say why not."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    kind, _line, left = request.POST.get("met", "")[:40].partition("-")
    what = request.POST.get("what", "")[:200]
    try:
        if kind == "piece":
            decide_piece(day, what, left, by=request.person)
        elif left == "undo":
            take_back_mishap(day, kind, what, by=request.person)
        else:
            labels = tuple(label for label in what.split(",")[:MOST_FLASKS] if label)
            note_mishap(day, Met(kind, labels, left, pressed_at(request.POST.get("at", ""))), by=request.person)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
    return redirect(_back(request, day))


def _back(request: TeacherRequest, day: CastingDay) -> str:
    """The page that was pressed, at what went wrong."""
    kiln = request.POST.get("kiln", "")[:40]
    if kiln:
        return with_query(reverse("kiln_room", args=[day.pk]), kiln=kiln)
    return with_query(reverse("pours", args=[day.pk]), flask=request.GET.get("flask", "")[:3])
