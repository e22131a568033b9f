"""The board of a day: flasks assembled by hand, each step a new revision of the plan, every step undone."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.urls import reverse
from django.views.decorators.http import require_safe
from django_htmx.http import reswap, retarget

from casting.forms.board import read_move, read_revision, read_spot, read_tier
from casting.models import BoardStep, CastingDay, Plan
from casting.models.errors import NotPlanned
from casting.papers.crossing_out import crossed_out
from casting.papers.printing import out_of_date
from casting.papers.responses import papers_for
from casting.presenters.board_page import Chosen, board_context
from casting.presenters.carry_answers import at_spot
from casting.presenters.standing import standing_of
from casting.selectors.searches import status_of
from casting.services import board as steps
from casting.services import searches
from casting.services.board_drafts import TooLate
from casting.services.board_moves import BeyondReach
from school.access import TeacherRequest, helper_required, posted_from, teacher_required

PAGE, PART = "casting/board/board.html", "casting/board/_board.html"
HAND, NEWS = "casting/board/_hand.html", "casting/board/_news.html"


@require_safe
@helper_required
def board(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show the board; `wax`, `flask` and `view` choose what is in hand, `seen` asks whether anything is newer."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    if request.htmx and "seen" in request.GET:
        return _news(request, day, request.GET["seen"])
    if request.htmx and "waits" in request.GET:
        return _waited_for(request, day, request.GET["waits"])
    if request.htmx and request.GET.get("part") == "papers":
        return _papers(request, day)
    return _shown(request, day, Chosen.of(request.GET))


@posted_from("board", "day_id")
@teacher_required
def board_step(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Do a step on the board, undo one or do it again; else say why not, and change nothing."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    chosen, do = Chosen.of(request.POST), request.POST.get("do", "")
    try:
        revision = read_revision(request.POST)
        if do in ("undo", "redo"):
            back = steps.undo if do == "undo" else steps.redo
            back(day, revision=revision, by=request.person)
        else:
            take = steps.take_step_later if "later" in request.POST else steps.take_step
            _step, said = take(day, read_move(request.POST), revision=revision, by=request.person)
            if said:
                messages.info(request, said)
    except steps.BoardChanged as changed:
        return _shown(request, day, chosen.but(refused=changed.sentence, since=changed.since), status=422)
    except BeyondReach as refusal:
        return _shown(request, day, chosen.but(refused=refusal.sentence, beyond=refusal.spot), status=422)
    except TooLate as refusal:
        later = refusal.later if do == BoardStep.Did.SPILL else None
        return _shown(request, day, chosen.but(refused=refusal.sentence, later=later), status=422)
    except NotPlanned as refusal:
        return _shown(request, day, chosen.but(refused=refusal.sentence), status=422)
    if request.htmx:
        # What was carried lies in its flask then, and leaves the hand free for the next.
        return _shown(request, day, Chosen() if "away" in request.POST else chosen)
    return redirect(reverse("board", args=[day.pk]) + chosen.fragment)


@require_safe
@teacher_required
def board_spot(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Say what is in the way of a wax held over a spot of a flask: for the script that carries it."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    try:
        spot = read_spot(request.GET.get)
        standing = standing_of(day, Plan.objects.latest_of(day))
        if spot is None:
            return JsonResponse({"takes": False, "words": ""})
        wax, flask = (request.GET.get(name, "") for name in ("wax", "flask"))
        return JsonResponse(at_spot(standing, wax, flask, spot, read_tier(request.GET.get("tier"))))
    except NotPlanned as refusal:
        return JsonResponse({"takes": False, "words": refusal.sentence})


@posted_from("board", "day_id")
@teacher_required
def board_rest(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Let the computer plan the rest around what is kept, or with `do` = `again` everything as it would."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    try:
        if request.POST.get("do") == "again":
            steps.let_all_go(day, by=request.person)
        ended = searches.wait_for(searches.begin(day, request.person))
        if ended.sentence:
            messages.error(request, ended.sentence)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
    address = reverse("board", args=[day.pk])
    return HttpResponse(headers={"HX-Redirect": address}) if request.htmx else redirect(address)


@posted_from("board", "day_id")
@teacher_required
def board_offer(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Take the plan that a search found while the board went on; else say why not."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    try:
        steps.take_offer(day, revision=read_revision(request.POST), by=request.person)
    except NotPlanned as refusal:
        messages.error(request, refusal.sentence)
    return redirect("board", day.pk)


def _shown(request: TeacherRequest, day: CastingDay, chosen: Chosen, status: int = 200) -> TemplateResponse:
    """The page, or for the script only its board."""
    context = board_context(day, chosen, may_move=request.person.is_teacher)
    part = HAND if request.GET.get("part") == "hand" else PART
    return TemplateResponse(request, part if request.htmx else PAGE, context, status=status)


def _waited_for(request: TeacherRequest, day: CastingDay, seen: str) -> HttpResponse:
    """The board once the computer's plan, which was asked for, is on it; nothing while it plans.

    What anybody else did meanwhile moves nothing: of that `_news` tells.
    """
    status, last = status_of(day), Plan.objects.latest_of(day)
    ended = status is None or not status.row.goes_on
    asked = last is not None and status is not None and status.row.plan_id == last.pk
    if not ended or not (asked or (str(last.revision) if last else "0") == seen):
        return HttpResponse(status=204)
    return retarget(reswap(_shown(request, day, Chosen.of(request.GET)), "outerHTML"), "#board")


def _papers(request: TeacherRequest, day: CastingDay) -> HttpResponse:
    """Say which papers are to be printed again, and what to cross out until then."""
    papers = papers_for(request, day)
    statuses = papers.statuses()
    context = {"day": day, "again": out_of_date(statuses), "crossed_out": crossed_out(papers, statuses)}
    return TemplateResponse(request, "casting/board/_papers.html", context)


def _news(request: TeacherRequest, day: CastingDay, seen: str) -> HttpResponse:
    """Say that somebody else made a step; nothing while the revision that was seen is the last."""
    last = Plan.objects.latest_of(day)
    if (str(last.revision) if last else "0") == seen:
        return HttpResponse(status=204)
    return TemplateResponse(request, NEWS, board_context(day, Chosen(), may_move=request.person.is_teacher))
