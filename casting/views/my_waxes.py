"""A student's own waxes."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from casting.models import Wax
from casting.presenters.my_waxes import days_of, listed, mark_of, waxes_of, written_of
from casting.presenters.own_calendar import own_calendar
from casting.services import waxes as wax_services
from school.access import StudentRequest, posted_from, student_required
from school.forms.versioned import version_in


@require_safe
@student_required
def my_waxes(request: StudentRequest) -> HttpResponse:
    """Show the student's waxes with all that is known of each; a page that is open asks again with the mark it has."""
    days, waxes = days_of(request.student), waxes_of(request.student)
    written = written_of(days)
    mark = mark_of(days, waxes, written)
    if request.htmx and request.GET.get("seen") == mark:
        return HttpResponse(status=204)
    context = {"days": listed(request.student, days, waxes, written), "mark": mark}
    page = "casting/my_waxes/_list.html" if request.htmx else "casting/my_waxes/my_waxes.html"
    return TemplateResponse(request, page, context)


@require_safe
@student_required
def my_calendar(request: StudentRequest, day_id: int) -> HttpResponse:
    """The student's own times of a casting day for a calendar."""
    day = get_object_or_404(request.student.course.casting_days, pk=day_id)
    return HttpResponse(
        own_calendar(day, request.student),
        content_type="text/calendar; charset=utf-8; method=PUBLISH",
        headers={"Content-Disposition": f'attachment; filename="casting-day-{day.pour_local():%Y-%m-%d}.ics"'},
    )


@posted_from("my_waxes")
@student_required
def withdraw_wax(request: StudentRequest, wax_id: int) -> HttpResponse:
    """Take a wax back; it can be brought back while hand-in is open."""
    sentence = _("Wax %(tag)s is withdrawn. Changed your mind? Press Undo beside it.")
    return _write(request, wax_id, wax_services.withdraw, sentence)


@posted_from("my_waxes")
@student_required
def bring_back_wax(request: StudentRequest, wax_id: int) -> HttpResponse:
    """Hand a withdrawn wax in again."""
    return _write(request, wax_id, wax_services.bring_back, _("Wax %(tag)s is handed in again."))


def _write(request: StudentRequest, wax_id: int, verb: Callable[..., Wax], sentence: str) -> HttpResponse:
    """Call a verb on one of the student's waxes and go back to the list; the phone's outbox is answered without a page.

    What waited on the phone and comes `later` is told by the outbox itself.
    """
    wax = get_object_or_404(Wax.objects.for_student(request.student), pk=wax_id)
    asked_by_outbox = "outbox" in request.POST
    try:
        wax = verb(wax, by=request.student, version=version_in(request.POST))
    except wax_services.NotWritten as refusal:
        if asked_by_outbox:
            return HttpResponse(refusal.sentence, status=409, content_type="text/plain; charset=utf-8")
        messages.error(request, refusal.sentence)
        return redirect("my_waxes")
    if "later" not in request.POST:
        messages.success(request, sentence % {"tag": wax.tag})
    if asked_by_outbox:
        return HttpResponse(headers={"Wax-Tag": wax.tag, "Wax-Version": str(wax.version)})
    return redirect("my_waxes")
