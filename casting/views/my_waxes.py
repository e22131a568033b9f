"""A student's own waxes."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from casting.calc.values.errors import Refused
from casting.forms.versioned import version_in
from casting.models import CastingDay, Wax
from casting.models.errors import NotPlanned
from casting.presenters.wax_history import by_teachers
from casting.presenters.wax_preview import WaxAnswer, answers_for
from casting.services import waxes as wax_services
from school.access import StudentRequest, posted_from, student_required


@require_safe
@student_required
def my_waxes(request: StudentRequest) -> HttpResponse:
    """Show the student's waxes, each with the metal it takes: the open days first, the next to pour on top."""
    days = list(CastingDay.objects.for_student(request.student))
    closed = [day for day in days if not day.hand_in_open()]
    days = [day for day in days if day not in closed] + closed[::-1]
    waxes = list(Wax.objects.for_student(request.student).select_related("sprue_pattern").order_by("pk"))
    for wax in waxes:
        wax.student = request.student
    told = by_teachers(waxes, request.student.school)
    listed = []
    for day in days:
        own = [wax for wax in waxes if wax.day_id == day.pk]
        answers = _answers(day, own)
        open_now = day.hand_in_open()
        stays = wax_services.invested(day) if own and open_now else {}
        listed.append(
            (day, open_now, [(wax, answers.get(wax.tag), stays.get(wax.tag), told.get(wax.pk, [])) for wax in own])
        )
    return TemplateResponse(request, "casting/my_waxes/my_waxes.html", {"days": listed})


def _answers(day: CastingDay, waxes: list[Wax]) -> Mapping[str, WaxAnswer]:
    """The answer for each wax; none while the school's shelf cannot be read."""
    try:
        return answers_for(day, waxes) if waxes else {}
    except (Refused, NotPlanned):
        return {}


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
    """Call a verb on one of the student's waxes and go back to the list."""
    wax = get_object_or_404(Wax.objects.for_student(request.student), pk=wax_id)
    try:
        verb(wax, by=request.student, version=version_in(request.POST))
        messages.success(request, sentence % {"tag": wax.tag})
    except wax_services.NotWritten as refusal:
        messages.error(request, refusal.sentence)
    return redirect("my_waxes")
