"""The page where a teacher reads where each figure of the school's shelf and of the rulebook comes from."""

from __future__ import annotations

from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.views.decorators.http import require_safe

from casting.calc.values.marked_text import FROM_MEMORY
from casting.presenters.sources import matching, sources_of, worths
from school.access import TeacherRequest, helper_required


@require_safe
@helper_required
def sources(request: TeacherRequest) -> HttpResponse:
    """Show every figure that the school's plans use with its source, or those that have the words of a search."""
    everything, asked = sources_of(request.school), request.GET.get("q", "").strip()
    found = matching(everything, asked) if asked else None
    context = {
        "sources": found if found and found.groups else everything,
        "everything": everything,
        "asked": asked,
        "found": found,
    }
    context |= {"worths": worths(), "star": FROM_MEMORY}
    return TemplateResponse(request, "casting/sources/sources.html", context)
