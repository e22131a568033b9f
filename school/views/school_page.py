"""The school's own page: its name, clock, height, units, paper and currency."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from school.access import TeacherRequest, teacher_required
from school.changing import Outdated, ahead_of, change_school, same_clock
from school.forms.school_page import KEEP_CLOCK, SchoolForm
from school.forms.versioned import boxes_of, saved_by, seen_as, since, version_in
from school.models import School
from school.onward import onward
from school.views.shared import form_page
from school.zones import zones

TEMPLATE = "school/school_page.html"


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def school_page(request: TeacherRequest) -> HttpResponse:
    """Show and change the school; before another time zone is saved, show what it does to what lies ahead."""
    school = School.objects.get(pk=request.school.pk)
    version = version_in(request.POST)
    if request.method == "POST" and version != school.version:
        return _outdated(request, school)
    form = SchoolForm(request.POST if request.method == "POST" else None, school=school)
    if not form.is_valid():
        return form_page(request, TEMPLATE, form, **_page(school))
    moved = _moved(school, form.cleaned_data["zone"]) if form.moves_zone else []
    if moved and not form.cleaned_data["clock"]:
        return form_page(request, TEMPLATE, form, **_page(school), moved=moved)
    try:
        change_school(
            school,
            form.columns(),
            version=version,
            by=request.person,
            keep_clock=form.cleaned_data["clock"] == KEEP_CLOCK,
        )
    except Outdated as outdated:
        return _outdated(request, outdated.now)
    messages.success(request, _("Saved."))
    return redirect(onward(request, "school_page"))


def _page(school: School) -> dict[str, Any]:
    """What the page carries beside its form: its version and what it shows, and the zones to choose from."""
    return {
        "zones": zones(),
        "version": school.version,
        "seen": seen_as(boxes_of(SchoolForm(None, school=school))),
    }


def _outdated(request: TeacherRequest, now: School) -> TemplateResponse:
    """The page with what was typed over what is saved now; the next press saves it."""
    found = since(request.POST, SchoolForm(None, school=now), saved_by(now.changed_by))
    form = SchoolForm(found.data, school=now)
    return TemplateResponse(request, TEMPLATE, {"form": form, "since": found, **_page(now)}, status=409)


def _moved(school: School, zone: str) -> list[tuple[str, dt.datetime, dt.datetime]]:
    """What lies ahead: its name, its clock time now, and what the clock shows at that moment in the other zone."""
    after = zoneinfo.ZoneInfo(zone)
    return [
        (name, at.astimezone(school.tz).replace(tzinfo=None), at.astimezone(after).replace(tzinfo=None))
        for name, at in ahead_of(school)
        if same_clock(at, school.tz, after) != at
    ]
