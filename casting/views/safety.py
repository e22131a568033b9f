"""The page where a school records its room, people and kit once, with what is still missing."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from casting.forms.safety import SafetyForm
from casting.presenters.cautions import safety_record_of, to_settle
from casting.services.safety import keep_record
from school.access import TeacherRequest, teacher_required


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def safety(request: TeacherRequest) -> HttpResponse:
    """Show the record with what is missing; keep what is posted."""
    missing = to_settle(safety_record_of(request.school))
    form = SafetyForm(request.POST if request.method == "POST" else None, instance=safety_record_of(request.school))
    if not form.is_valid():
        status = 422 if form.is_bound else 200
        return TemplateResponse(
            request, "casting/safety/safety.html", {"form": form, "missing": missing}, status=status
        )
    keep_record(request.school, form.cleaned_data)
    messages.success(request, _("Saved. Plans use the record from now on."))
    return redirect("safety")
