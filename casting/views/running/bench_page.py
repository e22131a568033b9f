"""What every page of the bench begins with: the day's last plan, and whether the page that asks shows all of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.utils import timezone
from django.utils.http import urlencode

from casting.models import CastingDay, Plan
from casting.presenters.navigation import day_context, plan_context
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.running.pours_page import version_of
from school.access import TeacherRequest


def bench_page(
    request: TeacherRequest,
    day: CastingDay,
    template: str,
    here: str,
    shown: Callable[[OpenedPlan], dict[str, Any]],
    *,
    status: int = 200,
) -> HttpResponse:
    """Show a page with what is `shown` of the day's last plan; 204 if the page that asks shows that already.

    `here` is the page's place in the navigation. A day without a plan says so.
    """
    plan = Plan.objects.latest_of(day)
    if plan is None:
        return TemplateResponse(request, "casting/flasks/no_plan.html", day_context(day, None, here), status=status)
    version = version_of(day, plan.revision, timezone.now())
    if request.GET.get("version") == version:
        return HttpResponse(status=204)
    opened = OpenedPlan(plan)
    context = plan_context(opened, here) | shown(opened) | {"version": version}
    return TemplateResponse(request, template, context, status=status)


def with_query(address: str, **given: str) -> str:
    """Return an address with what is given, as far as it is."""
    asked = urlencode({name: value for name, value in given.items() if value})
    return f"{address}?{asked}" if asked else address
