"""The search for a day's plan: begun, watched with the best so far drawn, stopped."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.urls import reverse
from django.views.decorators.http import require_safe

from casting.calc.grouping.budget import FURTHER_EFFORT, SITE_EFFORT
from casting.models import CastingDay, Search
from casting.presenters.navigation import way_of
from casting.presenters.opened_plan import names_of
from casting.presenters.plan_reader import read_plan
from casting.selectors.day_file import NotPlanned
from casting.selectors.searches import asked_of, found_by
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
    return _onward(request, day, searches.waited_for(begun)) or redirect("search", day.pk)


@require_safe
@teacher_required
def search(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show the best plan so far; once the search has ended, go where it led. `seen` is the number last shown."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    going = searches.latest(day)
    if going is None:
        raise Http404("nothing is being sought")
    if request.htmx and not going.goes_on:
        return HttpResponse(headers={"HX-Redirect": reverse("search", args=[day.pk])})
    onward = _onward(request, day, going)
    if onward:
        return onward
    number = len(found_by(going))
    if request.htmx and request.GET.get("seen") == str(number):
        return HttpResponse(status=204)
    context = {"day": day, "way": way_of(day, "flasks"), "search": going, "number": number, **_best(going, day)}
    template = "casting/search/_part.html" if request.htmx else "casting/search/search.html"
    return TemplateResponse(request, template, context)


@posted_from("flasks", "day_id")
@teacher_required
def end_search(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Stop the search, or take up one that broke off, and keep the best it has found."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    going = searches.latest(day)
    if going is None:
        raise Http404("nothing is being sought")
    ended = searches.stop(going) if going.goes_on else searches.keep_best(going)
    return _onward(request, day, ended) or redirect("search", day.pk)


def _onward(request: TeacherRequest, day: CastingDay, ended: Search) -> HttpResponse | None:
    """Where a search led: to the flasks, or back to the waxes with a sentence; None while it is to be shown."""
    if ended.state == Search.State.KEPT:
        return redirect("flasks", day.pk)
    if ended.state == Search.State.FAILED:
        messages.error(request, ended.sentence)
        return redirect("waxes", day.pk)
    return None


def _best(going: Search, day: CastingDay) -> dict[str, Any]:
    """The best plan so far, as values to show; nothing before the first."""
    lines = found_by(going)
    asked = asked_of(going)
    return {"sheet": read_plan(lines[-1], asked, names_of(day)) if lines and asked else None}
