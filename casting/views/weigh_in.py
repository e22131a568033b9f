"""Weighing in at the bench: the teacher enters, corrects or withdraws a wax for anyone; the numbered rubber bases."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from casting.calc.values.errors import Refused
from casting.forms.hand_in import WaxForm
from casting.forms.wax_fields import typed_of
from casting.forms.weigh_in import BasesForm, CorrectForm, WeighInForm, typed_bases
from casting.models import CastingDay, RubberBase, Wax
from casting.models.wax_entry import entry_of
from casting.presenters.formats import units_of
from casting.presenters.navigation import day_context
from casting.presenters.wax_history import history_of
from casting.presenters.wax_preview import WaxPreview, preview_of
from casting.selectors.shelf import names_of
from casting.services import waxes as wax_services
from casting.services.rubber import keep_bases
from casting.units import Mass
from school.access import TeacherRequest, helper_required, teacher_required

KEPT = ("alloy", "pattern", "unit", "on_base")
"""Answers that the next wax on the scale begins with."""


@require_http_methods(["GET", "HEAD", "POST"])
@helper_required
def weigh_in(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Take a wax from the scale for a student; the next one begins with its metal and material."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    if request.method != "POST":
        kept = request.session.get(f"weigh_in_{day.pk}", {})
        return _page(request, WeighInForm(initial=kept | _asked(request), day=day))
    form = WeighInForm(request.POST, day=day)
    preview = form.preview(form.cleaned_data.get("student") if form.is_valid() else None)
    if "preview" in request.POST:
        return _echo(request, form, preview)
    if preview is None or form.doubt:
        return _page(request, form, preview, status=422)
    student = form.cleaned_data["student"]
    try:
        key, entry = form.cleaned_data["key"], form.entry()
        wax, _made = wax_services.hand_in(day, student, key=key, entry=entry, by=request.person)
    except wax_services.NotWritten as refusal:
        form.add_error(None, refusal.sentence)
        return _page(request, form, status=409)
    request.session[f"weigh_in_{day.pk}"] = {name: request.POST.get(name, "") for name in KEPT}
    request.session[f"weighed_{day.pk}"] = wax.pk
    return redirect("weigh_in", day.pk)


@require_http_methods(["GET", "HEAD", "POST"])
@helper_required
def correct_wax(request: TeacherRequest, day_id: int, wax_id: int) -> HttpResponse:
    """Take other figures for anybody's wax, and show who changed what of it."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    wax = get_object_or_404(day.waxes.with_photo_keys().select_related("student", *wax_services.JOINED), pk=wax_id)
    if request.method != "POST":
        form = CorrectForm(initial=typed_of(wax), day=day)
        return _page(request, form, _as_it_is(wax), wax=wax)
    form = CorrectForm(request.POST, day=day, initial=typed_of(wax))
    preview = form.preview(wax.student)
    if "preview" in request.POST:
        return _echo(request, form, preview)
    if preview is None or form.doubt:
        return _page(request, form, preview, status=422, wax=wax)
    try:
        version = form.cleaned_data["version"] or 0
        wax_services.change(wax, by=request.person, version=version, entry=form.entry())
    except wax_services.Outdated as refusal:
        typed = request.POST.copy()
        typed["version"] = str(refusal.wax.version)
        form = CorrectForm(typed, day=day)
        form.add_error(None, refusal.sentence)
        return _page(request, form, status=409, wax=wax, now=refusal.wax)
    except wax_services.NotWritten as refusal:
        form.add_error(None, refusal.sentence)
        return _page(request, form, status=409, wax=wax)
    messages.success(request, _("Wax %(tag)s is changed. Its student sees what you changed.") % {"tag": wax.tag})
    return redirect("waxes", day.pk)


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def rubber_bases(request: TeacherRequest) -> HttpResponse:
    """Keep the school's numbered rubber bases with what each weighs."""
    unit = Mass(request.school.weight_unit)
    if request.method != "POST":
        bases = RubberBase.objects.of(request.person)
        return _bases_page(request, BasesForm(initial={"bases": typed_bases(bases, unit)}, unit=unit))
    form = BasesForm(request.POST, unit=unit)
    if not form.is_valid():
        return _bases_page(request, form, status=422)
    keep_bases(request.school, form.cleaned_data["bases"])
    messages.success(request, _("The bases are kept. Weighing in and handing in offer them by number."))
    return redirect("rubber_bases")


def _bases_page(request: TeacherRequest, form: BasesForm, status: int = 200) -> TemplateResponse:
    context = {"form": form, "unit": request.school.weight_unit}
    return TemplateResponse(request, "casting/weigh_in/rubber_bases.html", context, status=status)


def _asked(request: HttpRequest) -> dict[str, Any]:
    """The student whose wax the page is opened for, by its address."""
    student = request.GET.get("student", "")
    return {"student": student} if student.isascii() and student.isdigit() else {}


def _as_it_is(wax: Wax) -> WaxPreview | None:
    """The preview of a wax as it is kept; None if the shelf has changed so that it is no wax any more."""
    try:
        return preview_of(wax.day, wax.student, entry_of(wax))
    except Refused:
        return None


def _echo(request: HttpRequest, form: WaxForm, preview: WaxPreview | None) -> TemplateResponse:
    """What is understood while the teacher types."""
    return TemplateResponse(request, "casting/weigh_in/_understood.html", {"form": form, "understood": preview})


def _page(
    request: TeacherRequest,
    form: WaxForm,
    preview: WaxPreview | None = None,
    status: int = 200,
    wax: Wax | None = None,
    now: Wax | None = None,
) -> TemplateResponse:
    """The page for a new wax, or for `wax`; `now` is that wax as somebody else has saved it meanwhile."""
    day = form.day
    seen = form.seen if form.doubt else ""
    context = day_context(day, None, "waxes") | {
        "form": form,
        "understood": preview,
        "seen": seen,
        "wax": wax,
        "now": now,
    }
    if wax is None:
        context |= {"last": _last(request, day), "poured": day.pour_has_begun() and not day.why_shut}
    else:
        changes = wax.changes.select_related("by_person", "by_student")
        context |= {"history": history_of(changes, names_of(request.school), units_of(request.school))}
    return TemplateResponse(request, "casting/weigh_in/weigh_in.html", context, status=status)


def _last(request: TeacherRequest, day: CastingDay) -> Wax | None:
    """The wax that this person weighed in last."""
    pk = request.session.get(f"weighed_{day.pk}")
    return day.waxes.standing().with_photo_keys().filter(pk=pk).first() if pk else None
