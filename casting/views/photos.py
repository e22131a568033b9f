"""Photos of waxes: shown to the student whose wax it is and to the school's teachers, kept, taken away."""

from __future__ import annotations

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from casting.forms.photo_sent import Place, photo_answer, take_sent
from casting.models import CastingDay, Wax, WaxPhoto
from casting.services import photos
from school.access import StudentRequest, TeacherRequest, helper_required, posted_from, student_required


@require_safe
@student_required
def own_photo(request: StudentRequest, wax_id: int, part: str = "jpeg") -> HttpResponse:
    """The photo of one of the student's waxes, or the small one."""
    return _image(get_object_or_404(Wax.objects.for_student(request.student), pk=wax_id), part)


@require_safe
@helper_required
def wax_photo(request: TeacherRequest, day_id: int, wax_id: int, part: str = "jpeg") -> HttpResponse:
    """The photo of a wax of the school, or the small one."""
    return _image(_of_day(request, day_id, wax_id), part)


@posted_from("wax_tag", "wax_id")
@student_required
def keep_own_photo(request: StudentRequest, wax_id: int) -> HttpResponse:
    """Keep the photo of one of the student's waxes, or take it away."""
    wax = get_object_or_404(Wax.objects.for_student(request.student), pk=wax_id)
    return _kept(request, wax) or redirect("wax_tag", wax.pk)


@posted_from("hand_in_day", "day_id")
@student_required
def hand_in_photo(request: StudentRequest, day_id: int) -> HttpResponse:
    """Keep the photo of a wax that a phone knows by its own key alone: its answer may have been lost."""
    try:
        key = UUID(request.POST.get("key", ""))
    except ValueError:
        raise Http404("no key of a wax") from None
    wax = get_object_or_404(Wax.objects.for_student(request.student), day_id=day_id, key=key)
    return _kept(request, wax) or redirect("wax_tag", wax.pk)


@posted_from("correct_wax", "day_id", "wax_id")
@helper_required
def keep_photo(request: TeacherRequest, day_id: int, wax_id: int) -> HttpResponse:
    """Keep the photo of anybody's wax, or take it away, and go back to the page of the button."""
    wax = _of_day(request, day_id, wax_id)
    answer = _kept(request, wax)
    if answer is None and request.POST.get("page") == "weigh_in":
        return redirect("weigh_in", day_id)
    return answer or redirect("correct_wax", day_id, wax.pk)


def _of_day(request: TeacherRequest, day_id: int, wax_id: int) -> Wax:
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    return get_object_or_404(day.waxes, pk=wax_id)


def _image(wax: Wax, part: str) -> HttpResponse:
    return photo_answer(WaxPhoto.objects.filter(wax=wax), part, f"wax-{wax.tag}")


def _kept(request: HttpRequest, wax: Wax) -> HttpResponse | None:
    """Do what was pressed; the answer for a phone's outbox, None for a page, which is told by a message."""
    said = {"tag": wax.tag}
    place = Place(
        keep=lambda sent, at: photos.keep_photo(wax, sent, at=at),
        remove=lambda: photos.remove_photo(wax),
        kept=_("The photo of wax %(tag)s is kept.") % said,
        removed=_("The photo of wax %(tag)s is taken away.") % said,
        page=reverse("wax_tag", args=[wax.pk]),
    )
    return take_sent(request, place)
