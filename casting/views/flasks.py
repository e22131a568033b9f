"""The flasks of a day: each drawn to scale, with what to weigh out for it and why."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from casting.forms.days import InvestedAtForm, PouredAtForm
from casting.models import CastingDay, Flask, Plan, Search
from casting.models.errors import NotPlanned
from casting.presenters.comparison import moved_in, savings_of
from casting.presenters.navigation import day_context, plan_context
from casting.presenters.nearest import nearest_of
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.plan_sheet import LeftOutLine
from casting.presenters.second_choice import SecondChoice, second_choices
from casting.presenters.since_plan import changes_since
from casting.presenters.sooner import sooner_of
from casting.selectors.flasks import BenchState, on_bench
from casting.selectors.searches import status_of
from casting.services import searches
from casting.services.cautions import NotCleared, clear, take_back
from casting.services.flasks import ContentsChanged, correct_invested_at, fix_flask
from casting.services.plans import take_sooner
from casting.services.poured import PourDoubted, correct_poured_at
from school.access import TeacherRequest, helper_required, posted_from, teacher_required


@require_safe
@helper_required
def flasks(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show the flasks of the day's last plan; without one, the next step."""
    return _page(request, get_object_or_404(CastingDay.objects.of(request.person), pk=day_id))


@posted_from("flasks", "day_id")
@teacher_required
def clear_caution(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Clear a caution in the words that were shown, with a name and a reason; else say why not."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    posted = {name: request.POST.get(name, "") for name in ("caution", "text", "by", "reason")}
    try:
        clear(day, posted["caution"], by=posted["by"], reason=posted["reason"], text=posted["text"])
    except NotCleared as refusal:
        messages.error(request, refusal.sentence)
        return _page(request, day, posted | {"sentence": refusal.sentence})
    return redirect("flasks", day.pk)


@posted_from("flasks", "day_id")
@teacher_required
def take_clearance_back(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Take back that a caution is cleared; else say why not."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    try:
        take_back(day, request.POST.get("caution", ""), by=request.person, text=request.POST.get("text", ""))
        messages.success(request, _("The clearance is taken back: it is asked again."))
    except NotCleared as refusal:
        messages.error(request, refusal.sentence)
    return redirect("flasks", day.pk)


@posted_from("flasks", "day_id")
@teacher_required
def take_sooner_plan(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Take the plan that ends earlier than the cheapest; else say why not."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    try:
        take_sooner(day, request.POST.get("revision", ""), request.person)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
    return redirect("flasks", day.pk)


@posted_from("flasks", "day_id")
@helper_required
def mark_flask(request: TeacherRequest, day_id: int, label: str) -> HttpResponse:
    """Note that a flask is invested or poured, or set it back a step; else say why not."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    state, revision = request.POST.get("state"), request.POST.get("revision", "")
    if state not in Flask.State.values or not (revision.isascii() and revision.isdigit() and len(revision) < 9):
        raise Http404("a flask has no such state")
    try:
        as_planned = request.POST.get("as_planned") == "yes"
        at = _typed_at(PouredAtForm(request.POST, day.course.school.tz)) if "at" in request.POST else None
        fix_flask(day, label, state, by=request.person, revision=int(revision), as_planned=as_planned, poured_at=at)
    except (ContentsChanged, PourDoubted) as asked:
        messages.error(request, asked.sentence)
        return _page(request, day, asked=asked)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
        return redirect("flasks", day.pk)
    return redirect(reverse("flasks", args=[day.pk]) + f"#flask-{label}")


@posted_from("flasks", "day_id")
@helper_required
def invested_at(request: TeacherRequest, day_id: int, label: str) -> HttpResponse:
    """Correct when a flask was invested; else say why not."""
    return _corrected(request, day_id, label, InvestedAtForm, correct_invested_at)


@posted_from("flasks", "day_id")
@helper_required
def poured_at(request: TeacherRequest, day_id: int, label: str) -> HttpResponse:
    """Correct when a flask was poured; else say why not."""
    return _corrected(request, day_id, label, PouredAtForm, correct_poured_at)


def _corrected(
    request: TeacherRequest, day_id: int, label: str, form: type[InvestedAtForm], correct: Callable[..., None]
) -> HttpResponse:
    """Correct a time of a flask by the service that knows it."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    try:
        correct(day, label, _typed_at(form(request.POST, day.course.school.tz)), by=request.person)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
        return redirect("flasks", day.pk)
    return redirect(reverse("flasks", args=[day.pk]) + f"#flask-{label}")


def _typed_at(form: InvestedAtForm) -> datetime:
    """The instant that was typed; raises `NotPlanned` with the form's own sentence if it is none."""
    if not form.is_valid():
        raise NotPlanned(str(form.errors["at"][0]))
    at: datetime = form.cleaned_data["at"]
    return at


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def saves(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Begin to try what would save a flask of the last plan (POST), or tell how far it has come.

    `seen` is the number of changes last shown: without more, and while it goes on, there is nothing to say.
    """
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    plan = Plan.objects.latest_of(day)
    if plan is None:
        raise Http404("no plan has been made")
    if request.method == "POST":
        try:
            searches.wait_for(searches.begin_saving(plan, request.person))
        except NotPlanned as refusal:
            messages.error(request, refusal.sentence)
    back = "board" if "board" in (request.POST.get("back"), request.GET.get("back")) else ""
    if not request.htmx:
        address = reverse(back or "flasks", args=[day.pk])
        return redirect(f"{address}?asks=saves#saves" if back else f"{address}#saves")
    savings = savings_of(OpenedPlan(plan), status_of(plan.day, Search.Kind.SAVING))
    goes_on = savings.search is not None and savings.search.is_running
    if request.method != "POST" and goes_on and request.GET.get("seen") == str(savings.passed):
        return HttpResponse(status=204)
    return TemplateResponse(request, "casting/flasks/_saves.html", {"day": day, "savings": savings, "back": back})


def _page(
    request: TeacherRequest,
    day: CastingDay,
    wrong: Mapping[str, str] | None = None,
    asked: ContentsChanged | PourDoubted | None = None,
) -> TemplateResponse:
    """The page of a day; `wrong` is a posted form that was refused, `asked` what is asked before a flask is marked."""
    search = status_of(day)
    plan = Plan.objects.latest_of(day)
    status = 422 if wrong or asked else 200
    if plan is None:
        context = day_context(day, None, "flasks") | {"search": search, "wrong": wrong}
        return TemplateResponse(request, "casting/flasks/no_plan.html", context, status=status)
    opened, bench = OpenedPlan(plan), on_bench(day)
    context = plan_context(opened, "flasks") | {
        "search": search,
        "nearest": nearest_of(day, search, plan) if search is not None and search.row.plan_id == plan.pk else None,
        "sooner": sooner_of(opened, search) if search is not None else None,
        "wrong": wrong,
        "changed": asked if isinstance(asked, ContentsChanged) else None,
        "doubted": asked if isinstance(asked, PourDoubted) else None,
        "moved": moved_in(opened),
        "since_plan": changes_since(plan) if opened.is_outdated else [],
        "savings": savings_of(opened, status_of(day, Search.Kind.SAVING)),
        "left_out": _left_out(day, opened),
        "flasks": [(flask, bench.get(flask.label, BenchState())) for flask in opened.sheet.flasks],
    }
    return TemplateResponse(request, "casting/flasks/flasks.html", context, status=status)


def _left_out(day: CastingDay, opened: OpenedPlan) -> list[tuple[LeftOutLine, SecondChoice | None]]:
    """The waxes that the plan leaves out, each with its second choice."""
    lines = opened.sheet.left_out
    waxes = day.waxes.standing().filter(tag__in=[line.key for line in lines]) if lines else ()
    seconds = second_choices(day, waxes, opened.plan.day_values)
    return [(line, seconds.get(line.key)) for line in lines]
