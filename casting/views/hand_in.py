"""Handing in a wax, and changing one: the same page."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from casting.forms.hand_in import WaxForm
from casting.forms.wax_fields import seen_of, typed_of
from casting.models import CastingDay, Wax
from casting.presenters.formats import grams, weighed
from casting.presenters.wax_preview import WaxPreview
from casting.services import waxes as wax_services
from school.access import StudentRequest, student_required
from school.models import Student


@require_http_methods(["GET", "HEAD", "POST"])
@student_required
def hand_in(request: StudentRequest, day_id: int | None = None) -> HttpResponse:
    """Take a wax for the class's next casting day."""
    day = _day_of(request.student, day_id)
    if day is None:
        return TemplateResponse(request, "casting/hand_in/no_day.html")
    form = WaxForm(request.POST if request.method == "POST" else None, day=day)
    if request.method != "POST":
        return _page(request, form)
    preview = form.preview(request.student)
    if "preview" in request.POST:
        return _echo(request, form, preview)
    if preview is None or not _was_seen(request, form):
        return _page(request, form, preview, status=422)
    try:
        key, entry = form.cleaned_data["key"], form.entry()
        wax, made = wax_services.hand_in(day, request.student, key=key, entry=entry)
    except wax_services.NotWritten as refusal:
        form.add_error(None, refusal.sentence)
        return _page(request, form, status=409)
    return _saved(request, wax, preview, status=201 if made else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@student_required
def change_wax(request: StudentRequest, wax_id: int) -> HttpResponse:
    """Take other figures for a wax while hand-in is open."""
    own = Wax.objects.for_student(request.student).filter(withdrawn_at__isnull=True)
    wax = get_object_or_404(own.select_related("day__course__school", "sprue_pattern"), pk=wax_id)
    if request.method != "POST":
        return _page(request, WaxForm(initial=typed_of(wax), day=wax.day), wax=wax)
    form = WaxForm(request.POST, day=wax.day, initial=typed_of(wax))
    preview = form.preview(request.student)
    if "preview" in request.POST:
        return _echo(request, form, preview)
    if preview is None or not _was_seen(request, form):
        return _page(request, form, preview, status=422, wax=wax)
    try:
        version = form.cleaned_data["version"] or 0
        wax = wax_services.change(wax, by=request.student, version=version, entry=form.entry())
    except wax_services.Outdated as refusal:
        return _both(request, wax.day, refusal)
    except wax_services.NotWritten as refusal:
        form.add_error(None, refusal.sentence)
        return _page(request, form, status=409, wax=wax)
    return _saved(request, wax, preview, status=200)


def _day_of(student: Student, day_id: int | None) -> CastingDay | None:
    """The requested day; else the next to be poured, else the most recent."""
    days = CastingDay.objects.for_student(student)
    if day_id is not None:
        return get_object_or_404(days, pk=day_id)
    ahead = days.filter(pour_at__gt=timezone.now(), cancelled_at__isnull=True, ended_at__isnull=True)
    return ahead.first() or days.last()


def _was_seen(request: HttpRequest, form: WaxForm) -> bool:
    """Tell whether these figures were echoed before, or were sent without a warning by a phone that was offline."""
    if request.POST.get("seen") == seen_of(form.entry()):
        return True
    return "later" in request.POST and not form.doubt


def _page(
    request: HttpRequest, form: WaxForm, preview: WaxPreview | None = None, status: int = 200, wax: Wax | None = None
) -> TemplateResponse:
    context = _context(form, preview) | {"wax": wax, "day": form.day}
    return TemplateResponse(request, "casting/hand_in/hand_in.html", context, status=status)


def _echo(request: HttpRequest, form: WaxForm, preview: WaxPreview | None) -> TemplateResponse:
    """The preview while a student types; only the whole page asks about doubtful figures."""
    context = _context(form, preview)
    if form.doubt:
        context["seen"] = ""
    return TemplateResponse(request, "casting/hand_in/_echo.html", context)


def _context(form: WaxForm, preview: WaxPreview | None) -> dict[str, Any]:
    seen = seen_of(form.entry()) if preview else ""
    return {"form": form, "understood": preview, "seen": seen}


def _saved(request: HttpRequest, wax: Wax, preview: WaxPreview, status: int) -> HttpResponse:
    """Say what was written, in words, and where the tag goes; the phone's outbox reads the header."""
    sentence = _("%(what)s: %(wax)s of %(kind)s takes %(metal)s of %(alloy)s. Write %(tag)s on its tag.")
    words = {
        "what": wax.what,
        "wax": weighed(wax.wax_g),
        "kind": wax.pattern.get_kind_display(),
        "metal": grams(preview.metal_g),
        "alloy": wax.alloy.called,
        "tag": wax.tag,
    }
    messages.success(request, sentence % words)
    if "outbox" in request.POST:
        return HttpResponse(status=status, headers={"Wax-Tag": wax.tag})
    return redirect("my_waxes")


def _both(request: StudentRequest, day: CastingDay, refusal: wax_services.Outdated) -> TemplateResponse:
    """The page with the typed figures, and the wax as it is now with its version."""
    typed = request.POST.copy()
    typed["version"] = str(refusal.wax.version)
    form = WaxForm(typed, day=day)
    form.add_error(None, refusal.sentence)
    context = _context(form, None) | {"wax": refusal.wax, "day": day, "now": refusal.wax}
    return TemplateResponse(request, "casting/hand_in/hand_in.html", context, status=409)
