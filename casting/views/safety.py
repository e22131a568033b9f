"""The page where a school records its room, people and kit once, with what is still missing."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from casting.forms.safety import SafetyForm
from casting.presenters.cautions import left_open, safety_record_of
from casting.presenters.day_history import history_of_record
from casting.services.safety import NEW, keep_record
from casting.services.shelf import ChangedMeanwhile
from school.access import TeacherRequest, teacher_required
from school.forms.versioned import Since, boxes_of, saved_by, seen_as, since, version_in
from school.onward import onward

FEW = 8
"""So many open questions are named above the form, each leading to its box; more are seen by going through it."""


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def safety(request: TeacherRequest) -> HttpResponse:
    """Show the record with what is missing; keep what is posted, if nobody else has saved it meanwhile."""
    if request.method != "POST":
        return _page(request, SafetyForm(instance=safety_record_of(request.school)))
    form = SafetyForm(request.POST, instance=safety_record_of(request.school))
    try:
        if version_in(request.POST) != _version(request):
            raise ChangedMeanwhile
        if not form.is_valid():
            return _page(request, form, status=422)
        keep_record(request.school, form.answers(), by=request.person, version=version_in(request.POST))
    except ChangedMeanwhile:
        return _changed_meanwhile(request)
    messages.success(request, _("Saved. Plans use the record from now on."))
    return redirect(onward(request, "safety"))


def _version(request: TeacherRequest) -> int:
    record = safety_record_of(request.school)
    return record.version if record.pk else NEW


def _changed_meanwhile(request: TeacherRequest) -> HttpResponse:
    """The page with what was typed over what is saved now; the next press saves it."""
    now = SafetyForm(instance=safety_record_of(request.school))
    history = history_of_record(now.instance)
    found = since(request.POST, now, saved_by(history[-1].who if history else ""))
    return _page(request, SafetyForm(found.data, instance=now.instance), status=409, found=found)


def _page(request: TeacherRequest, form: SafetyForm, status: int = 200, found: Since | None = None) -> HttpResponse:
    kept = safety_record_of(request.school)
    context = {
        "form": form,
        "missing": left_open(kept),
        "few": len(left_open(kept)) <= FEW,
        "version": kept.version if kept.pk else NEW,
        "seen": seen_as(boxes_of(SafetyForm(instance=kept))),
        "since": found,
        "history": history_of_record(kept)[::-1],
    }
    return TemplateResponse(request, "casting/safety/safety.html", context, status=status)
