"""What past days say of the figures that plans go by, and a press that takes one of them as the default."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from casting.models.errors import NotPlanned
from casting.presenters.looking_back.learned import line_of
from casting.presenters.looking_back.topics import topics_of
from casting.services.looking_back.learning import take
from casting.services.shelf_effects import effects_of, seen_of
from school.access import TeacherRequest, posted_from, teacher_required


@require_safe
@teacher_required
def learning(request: TeacherRequest) -> HttpResponse:
    """Show what past days say."""
    return TemplateResponse(request, "casting/looking_back/learning.html", {"topics": topics_of(request.school)})


@posted_from("learning")
@teacher_required
def take_learned(request: TeacherRequest) -> HttpResponse:
    """Take an offered figure; if planned days change by it, say so first."""
    line = line_of(topics_of(request.school), request.POST.get("line", "")[:80])
    if line is None:
        raise Http404("no such figure")
    try:
        offered = float(request.POST.get("offered", ""))
    except ValueError as wrong:
        raise Http404("no figure") from wrong
    try:
        effects = effects_of(request.school, lambda: take(line, offered, by=request.person))
        if effects and request.POST.get("effects") != seen_of(effects):
            context = {"line": line, "offered": request.POST["offered"], "effects": effects, "seen": seen_of(effects)}
            return TemplateResponse(request, "casting/looking_back/before_taking.html", context)
        take(line, offered, by=request.person)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
    else:
        words = {"what": line.called, "figure": line.words(offered)}
        messages.success(request, _("Plans now go by %(figure)s: %(what)s.") % words)
    return redirect("learning")
