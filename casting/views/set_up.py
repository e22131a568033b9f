"""The way through a school's set-up: its steps, its short lists, and the rehearsal at its end."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from casting.forms.set_up import SHORT_LISTS, ShortList, ShortListForm
from casting.models import Plan
from casting.models.errors import NotPlanned
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.rehearsal import missed_by, told_of
from casting.presenters.set_up import STEPS, SetUp
from casting.selectors.rehearsal import rehearsal_day
from casting.selectors.searches import status_of
from casting.services import rehearsal as rehearsals
from casting.services import searches
from casting.services import set_up as progress
from casting.services import shelf as shelf_services
from casting.services.shelf_effects import effects_of, seen_of
from school.access import TeacherRequest, posted_from, teacher_required
from school.forms.versioned import since


@require_safe
@teacher_required
def set_up(request: TeacherRequest) -> HttpResponse:
    """Show the steps in order, each with what stands now."""
    context = {
        "way_through": SetUp(request.school),
        "rehearsed": rehearsal_day(request.school),
        "back": reverse("set_up"),
    }
    return TemplateResponse(request, "casting/set_up/set_up.html", context)


@posted_from("set_up")
@teacher_required
def set_up_on(request: TeacherRequest) -> HttpResponse:
    """Keep a step as it is, put the set-up away or take it up again."""
    do, step = request.POST.get("do", ""), request.POST.get("step", "")
    if do == "keep" and step in STEPS:
        progress.look_at(request.school, step)
    elif do == "end":
        progress.end(request.school)
        return redirect("days")
    elif do == "take_up":
        progress.take_up(request.school)
    return redirect("set_up")


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def set_up_list(request: TeacherRequest, step: str) -> HttpResponse:
    """Show a few boxes of every row of a kind; save them by the services of the rows' own pages."""
    if step not in SHORT_LISTS:
        raise Http404
    listed = SHORT_LISTS[step]
    typed = request.POST.dict() if request.method == "POST" else None
    form = ShortListForm(typed, school=request.school, listed=listed)
    context: dict[str, Any] = {"form": form, "listed": listed, "seen": form.seen()}
    if typed is not None and form.is_old:
        return _changed_meanwhile(request, listed)
    if not form.is_valid():
        return TemplateResponse(request, LIST_PAGE, context, status=422 if form.is_bound else 200)
    try:
        effects = effects_of(request.school, lambda: _save(request, form))
        if effects and request.POST.get("effects") != seen_of(effects):
            context |= {"effects": effects, "effects_seen": seen_of(effects)}
            return TemplateResponse(request, LIST_PAGE, context)
        _save(request, form)
    except shelf_services.NotMoved as wrong:
        return TemplateResponse(request, LIST_PAGE, context | {"wrong": wrong.sentence}, status=422)
    except shelf_services.ChangedMeanwhile:
        return _changed_meanwhile(request, listed)
    progress.look_at(request.school, step)
    messages.success(request, _("Saved: %(name)s.") % {"name": STEPS[step][0]})
    return redirect("set_up")


LIST_PAGE = "casting/set_up/short_list.html"


@transaction.atomic
def _save(request: TeacherRequest, form: ShortListForm) -> None:
    """Write what a list asks for; what is taken out comes first, so that something always is worked with."""
    for change in sorted(form.changes, key=lambda one: not one.here):
        row = change.row
        # a row that is only put away or taken out has its version looked at, too
        row = shelf_services.change(row, change.values, change.version, request.person)
        if change.here and not row.offered:
            shelf_services.take_out(row)
        elif not change.here:
            shelf_services.put_away(row)


def _changed_meanwhile(request: TeacherRequest, listed: ShortList) -> HttpResponse:
    """The list as it is saved now, over it what was typed; the next press saves it."""
    now = ShortListForm(None, school=request.school, listed=listed)
    found = since(request.POST, now, now.typed_by)
    form = ShortListForm(found.texts, school=request.school, listed=listed)
    context = {"form": form, "listed": listed, "since": found, "seen": now.seen()}
    return TemplateResponse(request, LIST_PAGE, context, status=409)


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def rehearsal(request: TeacherRequest) -> HttpResponse:
    """Plan the invented class with the school's own things, show what came of it, or remove it."""
    if request.method == "POST":
        return _rehearse(request)
    day = rehearsal_day(request.school)
    plan = Plan.objects.latest_of(day) if day else None
    context: dict[str, Any] = {
        "day": day,
        "search": status_of(day) if day else None,
        "missed": missed_by(day) if day else [],
    }
    if plan is not None:
        opened = OpenedPlan(plan)
        context |= {"opened": opened, "sheet": opened.sheet, "told": told_of(opened)}
    return TemplateResponse(request, "casting/set_up/rehearsal.html", context)


def _rehearse(request: TeacherRequest) -> HttpResponse:
    if request.POST.get("do") == "remove":
        rehearsals.remove_rehearsal(request.school)
        messages.success(request, _("The rehearsal is removed."))
        return redirect("set_up")
    try:
        ended = searches.wait_for(rehearsals.rehearse(request.person))
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
    else:
        if ended.sentence:
            messages.error(request, ended.sentence)
    return redirect("rehearsal")
