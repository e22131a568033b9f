"""Handing in a wax, and changing one: the same page."""

from __future__ import annotations

import json
from typing import Any
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from casting.forms.hand_in import WaxForm
from casting.forms.photo import PhotoForm
from casting.forms.remembered import last_figures, remembered
from casting.forms.wax_fields import typed_of
from casting.models import CastingDay, Wax
from casting.presenters.hand_in_bar import bar_of
from casting.presenters.my_waxes import listed_of
from casting.presenters.wax_preview import WaxPreview
from casting.services import waxes as wax_services
from casting.services.photos import keep_photo
from school.access import StudentRequest, student_required
from school.models import Student


@require_http_methods(["GET", "HEAD", "POST"])
@student_required
def hand_in(request: StudentRequest, day_id: int | None = None) -> HttpResponse:
    """Take a wax for the class's next casting day."""
    day = _day_of(request.student, day_id)
    if day is None:
        return TemplateResponse(request, "casting/hand_in/no_day.html")
    if request.method != "POST":
        like = request.GET.get("like", "")
        return _page(request, WaxForm(initial=remembered(request.student, day, like), day=day))
    form = WaxForm(request.POST, day=day)
    form.before = last_figures(request.student)
    preview = form.preview(request.student)
    if "preview" in request.POST:
        return _echo(request, form, preview)
    if preview is None or form.doubt:
        return _page(request, form, preview, status=422)
    try:
        wax, made = wax_services.hand_in(day, request.student, key=form.cleaned_data["key"], entry=form.entry())
    except wax_services.NotWritten as refusal:
        form.add_error(None, refusal.sentence)
        return _page(request, form, status=409, another=_another(refusal))
    _take_photo(request, wax)
    return _saved(request, wax, status=201 if made else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@student_required
def change_wax(request: StudentRequest, wax_id: int) -> HttpResponse:
    """Take other figures for a wax while hand-in is open."""
    own = Wax.objects.for_student(request.student).filter(withdrawn_at__isnull=True).with_photo_keys()
    wax = get_object_or_404(own.select_related("day__course__school", "sprue_pattern"), pk=wax_id)
    if request.method != "POST":
        stays = wax_services.invested(wax.day).get(wax.tag)
        return _page(request, WaxForm(initial=typed_of(wax), day=wax.day), wax=wax, stays=stays)
    form = WaxForm(request.POST, day=wax.day, initial=typed_of(wax))
    preview = form.preview(request.student)
    if "preview" in request.POST:
        return _echo(request, form, preview)
    if preview is None or form.doubt:
        return _page(request, form, preview, status=422, wax=wax)
    try:
        version = form.cleaned_data["version"] or 0
        wax = wax_services.change(wax, by=request.student, version=version, entry=form.entry())
    except wax_services.Outdated as refusal:
        return _both(request, wax.day, refusal)
    except wax_services.NotWritten as refusal:
        form.add_error(None, refusal.sentence)
        return _page(request, form, status=409, wax=wax)
    return _saved(request, wax, status=200)


def _day_of(student: Student, day_id: int | None) -> CastingDay | None:
    """The requested day; else the next to be poured, else the most recent."""
    days = student.course.casting_days.order_by("pour_at", "pk")
    if day_id is not None:
        return get_object_or_404(days, pk=day_id)
    ahead = days.filter(pour_at__gt=timezone.now(), cancelled_at__isnull=True, ended_at__isnull=True)
    return ahead.first() or days.last()


def _page(
    request: HttpRequest,
    form: WaxForm,
    preview: WaxPreview | None = None,
    status: int = 200,
    wax: Wax | None = None,
    **more: Any,
) -> TemplateResponse:
    wrong = [name for name in form.fields if name in form.errors] if form.is_bound else []
    if wrong:
        form.fields[wrong[0]].widget.attrs["autofocus"] = True
    only_missing = bool(wrong) and not any(form.data.get(name) for name in wrong)
    asked = {"wax": wax, "day": form.day, "wrong_fields": wrong, "only_missing": only_missing}
    context = _context(form, preview) | asked | {"photo_lost": bool(request.FILES)} | more
    return TemplateResponse(request, "casting/hand_in/hand_in.html", context, status=status)


def _take_photo(request: HttpRequest, wax: Wax) -> None:
    """Keep the photo that came along, if one did: the wax is handed in, whatever becomes of it."""
    sent = PhotoForm(request.POST, request.FILES).sent() if request.FILES else None
    if sent is None:
        return
    try:
        keep_photo(wax, sent)
    except wax_services.NotWritten as refusal:
        sentence = _("Wax %(tag)s is handed in, but without its photo. %(why)s")
        messages.error(request, sentence % {"tag": wax.tag, "why": refusal.sentence})


def _another(refusal: wax_services.NotWritten) -> UUID | None:
    """A key under which the same figures are another wax, if theirs was used for other figures before."""
    return uuid4() if isinstance(refusal, wax_services.OtherContent) else None


def _echo(request: HttpRequest, form: WaxForm, preview: WaxPreview | None) -> TemplateResponse:
    """What is understood while a student types, as far as it goes; the mark of a doubt stands with the doubt."""
    wrong = {name: str(form.errors[name][0]) for name in form.fields if name in form.errors}
    # What is still empty is no mistake yet; what is typed and cannot be is told at once.
    typed = {name: said for name, said in wrong.items() if form.data.get(name) or not form.fields[name].required}
    first = next((said for name, said in typed.items() if form.data.get(name)), "")
    context = _context(form, preview) | {"wrong_now": json.dumps(typed), "first_wrong": first}
    return TemplateResponse(request, "casting/hand_in/_echo.html", context)


def _context(form: WaxForm, preview: WaxPreview | None) -> dict[str, Any]:
    readable = form.is_bound and "weight" not in form.errors
    return {
        "form": form,
        "understood": preview,
        "seen": form.seen,
        "bar": bar_of(form.day, form.cleaned_data if readable else {}),
        "school": form.day.course.school,
    }


def _saved(request: HttpRequest, wax: Wax, status: int) -> HttpResponse:
    """The page with the tag; the phone's outbox reads the tag and the page in the answer's headers."""
    page = reverse("wax_tag", args=[wax.pk])
    if "outbox" in request.POST:
        told = {"Wax-Tag": wax.tag, "Wax-Version": str(wax.version), "Wax-Page": page}
        return HttpResponse(status=status, headers=told)
    return redirect(page)


@require_safe
@student_required
def wax_tag(request: StudentRequest, wax_id: int) -> HttpResponse:
    """The tag of a wax that was handed in, what was understood of it, and what would help if no flask takes it."""
    own = Wax.objects.for_student(request.student).filter(withdrawn_at__isnull=True).with_photo_keys()
    wax = get_object_or_404(own.select_related("day__course__school", "sprue_pattern"), pk=wax_id)
    wax.student = request.student
    (listed,) = listed_of(wax.day, [wax])
    context = {"wax": wax, "listed": listed, "day": wax.day}
    return TemplateResponse(request, "casting/hand_in/wax_tag.html", context)


def _both(request: StudentRequest, day: CastingDay, refusal: wax_services.Outdated) -> TemplateResponse:
    """The page with the typed figures, and the wax as it is now with its version."""
    typed = request.POST.copy()
    typed["version"] = str(refusal.wax.version)
    form = WaxForm(typed, day=day)
    form.add_error(None, refusal.sentence)
    return _page(request, form, status=409, wax=refusal.wax, now=refusal.wax)
