"""How often pieces had which defect, over all past days."""

from __future__ import annotations

from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.views.decorators.http import require_safe

from casting.presenters.looking_back.defect_history import heads, history_lines
from school.access import TeacherRequest, teacher_required


@require_safe
@teacher_required
def defect_history(request: TeacherRequest) -> HttpResponse:
    """Show the history of defects."""
    context = {"heads": heads(), "lines": history_lines(request.school)}
    return TemplateResponse(request, "casting/looking_back/defect_history.html", context)
