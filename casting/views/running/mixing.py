"""The page at the investing bench, bowl by bowl, and what is noted on it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from casting.models import CastingDay
from casting.models.errors import NotPlanned
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.running.mixing import MixingPage
from casting.services.flasks import ContentsChanged
from casting.services.running.mixing import WaterDoubted, take_gloss
from casting.services.running.ticks import Press, press
from casting.views.running.bench_page import bench_page
from casting.views.running.pressed import pressed_in
from school.access import TeacherRequest, helper_required, posted_from, teacher_required


@require_safe
@helper_required
def mixing(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show the bowl whose turn it is; 204 if the page that asks shows that already."""
    return _page(request, get_object_or_404(CastingDay.objects.of(request.person), pk=day_id))


@posted_from("mixing", "day_id")
@helper_required
def note_bowl(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Note what happens to a bowl, or take it back; else say why not, or ask."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    pressed = pressed_in(request)
    try:
        press(day, pressed, by=request.person)
    except (ContentsChanged, WaterDoubted) as asked:
        messages.error(request, asked.sentence)
        return _page(request, day, refused=pressed, asks=True)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
        return _page(request, day, refused=pressed)
    return redirect(reverse("mixing", args=[day.pk]))


@posted_from("mixing", "day_id")
@teacher_required
def count_on_gloss(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Count on the gloss of a bowl as measured in the day's next plan; else say why not."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    try:
        take_gloss(day, request.POST.get("what", "")[:40], by=request.person)
        messages.success(request, _("The next plan of this day counts on it. Make the plan again when that suits."))
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
    return redirect("mixing", day.pk)


def _page(
    request: TeacherRequest, day: CastingDay, *, refused: Press | None = None, asks: bool = False
) -> HttpResponse:
    """The page; `refused` is what was not noted, `asks` that it is if somebody says that it is right."""

    def shown(opened: OpenedPlan) -> dict[str, Any]:
        page = MixingPage(opened, refused.what if refused else request.GET.get("bowl", "")[:40])
        return {"page": page, "refused": refused, "asked": refused if asks else None}

    return bench_page(request, day, "casting/running/mixing.html", "mounting", shown, status=422 if refused else 200)
