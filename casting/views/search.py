"""The search for a day's plan: begun, watched with a drawing of the best so far, stopped."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.urls import reverse
from django.views.decorators.http import require_safe

from casting.calc.grouping.budget import FURTHER_EFFORT, SITE_EFFORT
from casting.models import CastingDay, Plan, Search
from casting.models.errors import NotPlanned
from casting.presenters.formats import units_of
from casting.presenters.navigation import day_context
from casting.presenters.opened_plan import in_school_units, names_of
from casting.presenters.plan_reader import read_plan
from casting.presenters.plan_sheet import PlanSheet
from casting.selectors.searches import asked_of, found_by, latest, status_of
from casting.services import searches
from school.access import TeacherRequest, posted_from, teacher_required


@posted_from("flasks", "day_id")
@teacher_required
def make_plan(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Begin to plan the day as it stands; a short search is over before the page, a longer one is shown."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    effort = FURTHER_EFFORT if request.POST.get("do") == "further" else SITE_EFFORT
    try:
        begun = searches.begin(day, request.person, effort)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
        return redirect("waxes", day.pk)
    return _onward(request, day, searches.wait_for(begun)) or redirect("search", day.pk)


@require_safe
@teacher_required
def search(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show the best plan so far; once the search is settled, go where it led. `seen` is the number last shown.

    A search that has ended and is not settled yet shows a form that settles it, which htmx posts by itself.
    """
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    status = status_of(day)
    if status is None:
        raise Http404("the day has no search")
    if request.htmx and not status.row.goes_on:
        return HttpResponse(headers={"HX-Redirect": reverse("search", args=[day.pk])})
    onward = _onward(request, day, status.row)
    if onward:
        return onward
    number = len(found_by(status.row))
    if request.htmx and status.is_running and request.GET.get("seen") == str(number):
        return HttpResponse(status=204)
    context = day_context(day, Plan.objects.latest_of(day), "flasks")
    context |= {"search": status, "number": number, "sheet": _best(status.row, day)}
    template = "casting/search/_part.html" if request.htmx else "casting/search/search.html"
    return TemplateResponse(request, template, context)


@posted_from("flasks", "day_id")
@teacher_required
def end_search(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Stop the search, settle one that has ended, or take up one that broke off; keep the best it has found."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    going = latest(day)
    if going is None:
        raise Http404("the day has no search")
    ended = searches.stop(going) if going.goes_on else searches.keep_best(going)
    onward = _onward(request, day, ended) or redirect("search", day.pk)
    return HttpResponse(headers={"HX-Redirect": onward["Location"]}) if request.htmx else onward


def _onward(request: TeacherRequest, day: CastingDay, ended: Search) -> HttpResponseRedirect | None:
    """Where a search led: to the flasks, or back to the waxes with a sentence; None while it is to be shown."""
    if ended.state == Search.State.KEPT:
        return redirect("flasks", day.pk)
    if ended.state == Search.State.FAILED:
        messages.error(request, ended.sentence)
        return redirect("waxes", day.pk)
    return None


def _best(going: Search, day: CastingDay) -> PlanSheet | None:
    """The best plan so far, as values to show; None before the first."""
    lines, asked = found_by(going), asked_of(going)
    if not lines or not asked:
        return None
    return in_school_units(read_plan(lines[-1], asked, names_of(day)), units_of(day.course.school))
