"""What becomes of a photo that a page or an outbox sent, and the photo that a page asks for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _

from casting.forms.photo import PhotoForm
from casting.models.errors import NotPlanned
from casting.models.photo import Photo
from casting.services.photos import Busy, NoPhoto
from casting.services.waxes import NotWritten


@dataclass(frozen=True, slots=True)
class Place:
    """Where a photo belongs: how it is kept there and taken away, what is said of that, and the page that shows it."""

    keep: Callable[[bytes, datetime], object]
    remove: Callable[[], object]
    kept: str
    removed: str
    page: str


def take_sent(request: HttpRequest, place: Place) -> HttpResponse | None:
    """Do what was pressed; the answer for an outbox, None for a page, which is told by a message."""
    by_outbox, form = "outbox" in request.POST, PhotoForm(request.POST, request.FILES)
    try:
        if request.POST.get("do") == "remove":
            place.remove()
        elif (sent := form.sent()) is None:
            raise NoPhoto(_("No photo was chosen. Take one, or choose one, then press the button."))
        else:
            place.keep(sent, form.chosen_at())
    except (NotPlanned, NotWritten) as refusal:
        if by_outbox:
            status = 503 if isinstance(refusal, Busy) else 422
            return HttpResponse(refusal.sentence, status=status, content_type="text/plain; charset=utf-8")
        messages.error(request, refusal.sentence)
        return None
    if by_outbox:
        return HttpResponse(headers={"Photo-Page": place.page})
    messages.success(request, place.removed if request.POST.get("do") == "remove" else place.kept)
    return None


def photo_answer(photos: QuerySet[Photo], part: str, name: str) -> HttpResponse:
    """Return the one photo that there is, or its small one, as `part` says; 404 if there is none."""
    jpeg = get_object_or_404(photos.values_list(part, flat=True))
    shown = f'inline; filename="{name}.jpg"'
    return HttpResponse(bytes(jpeg), content_type="image/jpeg", headers={"Content-Disposition": shown})
