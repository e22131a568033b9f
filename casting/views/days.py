"""The casting days of a school, and a new one."""

from __future__ import annotations

from django.db import transaction
from django.db.models import Count, Q
from django.http import HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from casting.forms.days import DayForm
from casting.models import CastingDay
from school.access import TeacherRequest, teacher_required


@require_safe
@teacher_required
def days(request: TeacherRequest) -> HttpResponse:
    """List the school's casting days: those to come, the nearest first, then those past, the latest first."""
    rows = CastingDay.objects.of(request.person).annotate(
        waxes_in=Count("waxes", filter=Q(waxes__withdrawn_at__isnull=True), distinct=True),
        plans_made=Count("plans", distinct=True),
    )
    now = timezone.now()
    listed = sorted(rows, key=lambda day: (day.pour_at < now, abs(day.pour_at - now)))
    return TemplateResponse(request, "casting/days/days.html", {"days": listed})


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def new_day(request: TeacherRequest) -> HttpResponse:
    """Announce a casting day."""
    form = DayForm(request.POST if request.method == "POST" else None, person=request.person)
    if not form.is_valid():
        status = 422 if form.is_bound else 200
        return TemplateResponse(request, "casting/days/new_day.html", {"form": form}, status=status)
    found = form.cleaned_data
    columns = ("course", "pour_at", "hand_in_closes_at", "opens", "closes", "hand_in_until")
    with transaction.atomic():
        day = CastingDay.objects.create(**{name: found[name] for name in columns})
        day.alloys.set(found["alloys"])
    return redirect("waxes", day.pk)
