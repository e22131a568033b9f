"""The page at the scale where finished bases are weighed and photographed before they are invested."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from casting.calc.values.enums import Tick
from casting.forms.photo_sent import Place, photo_answer, take_sent
from casting.models import BasePhoto, CastingDay
from casting.models.errors import NotPlanned
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.running.mounting import MountingPage
from casting.services.running import base_photos
from casting.services.running.mounting import MountDoubted
from casting.services.running.ticks import Press, press
from casting.views.running.bench_page import bench_page
from casting.views.running.pressed import pressed_in
from school.access import TeacherRequest, helper_required, posted_from


@require_safe
@helper_required
def mounting(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show the base that is weighed next; 204 if the page that asks shows that already."""
    return _page(request, get_object_or_404(CastingDay.objects.of(request.person), pk=day_id))


@posted_from("mounting", "day_id")
@helper_required
def weigh_base(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Note what a finished base weighs, or take it back; else say why not, or ask."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    pressed = pressed_in(request)
    try:
        press(day, pressed, by=request.person)
    except MountDoubted as asked:
        messages.error(request, asked.sentence)
        return _page(request, day, refused=pressed, asks=True)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
        return _page(request, day, refused=pressed)
    return redirect(reverse("mounting", args=[day.pk]))


@posted_from("mounting", "day_id")
@helper_required
def keep_base_photo(request: TeacherRequest, day_id: int, label: str) -> HttpResponse:
    """Keep the photo of a finished base, or take it away."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    said, page = {"label": label[:3]}, reverse("mounting", args=[day.pk])
    place = Place(
        keep=lambda sent, at: base_photos.keep_base_photo(day, label, sent, by=request.person, at=at),
        remove=lambda: base_photos.remove_base_photo(day, label, by=request.person),
        kept=_("The photo of base %(label)s is kept.") % said,
        removed=_("The photo of base %(label)s is taken away.") % said,
        page=page,
    )
    return take_sent(request, place) or redirect(f"{page}?{urlencode({'flask': label})}")


@require_safe
@helper_required
def base_photo(request: TeacherRequest, day_id: int, label: str, part: str = "jpeg") -> HttpResponse:
    """The photo of a finished base, or the small one."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    taken = BasePhoto.objects.filter(step__day=day, step__do=Tick.PHOTO, step__what=label)
    return photo_answer(taken, part, f"base-{label}")


def _page(
    request: TeacherRequest, day: CastingDay, *, refused: Press | None = None, asks: bool = False
) -> HttpResponse:
    """The page; `refused` is what was typed and not noted, `asks` that it is noted if it is right all the same."""

    def shown(opened: OpenedPlan) -> dict[str, Any]:
        page = MountingPage(opened, refused.what if refused else request.GET.get("flask", "")[:3])
        return {"page": page, "refused": refused, "asked": refused if asks else None}

    return bench_page(request, day, "casting/running/mounting.html", "mounting", shown, status=422 if refused else 200)
