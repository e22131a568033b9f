"""The metal account of a day: its flasks at a glance, and a flask weighed out, weighed back and settled."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from casting.forms.account.fields import OnceForm
from casting.forms.account.weigh import SettleForm, WeighBackForm, WeighOutForm
from casting.models import AccountEntry, CastingDay, Plan
from casting.presenters.account.day import FlaskLine, buy_list, flask_lines, stock_for
from casting.presenters.account.words import entry_lines
from casting.presenters.formats import units_of
from casting.presenters.navigation import day_context
from casting.selectors.account.balances import all_balances
from casting.selectors.account.bills import bills_of
from casting.services.account.book import Doubted, NotBooked
from casting.services.account.corrections import correct
from casting.services.account.flasks import settle, weigh_back, weigh_out
from school.access import TeacherRequest, helper_required, posted_from, teacher_required

ENTRIES = ("by", "corrected_by__by")
STEPS = ("weigh_out", "weigh_back", "settle")


@require_safe
@helper_required
def metal_account(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show the flasks of a day with what was weighed out and back, and what metal is to be bought."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    lines = flask_lines(day)
    context = _context(request, day) | {
        "lines": lines,
        "buying": buy_list(lines, all_balances(request.school)),
        "bills_made": bool(bills_of(day)),
    }
    return TemplateResponse(request, "casting/account/metal_account.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@helper_required
def flask_metal(request: TeacherRequest, day_id: int, label: str) -> HttpResponse:
    """Weigh the metal of a flask out and back, and settle it; else say why not, with everything typed still there."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    line = next((one for one in flask_lines(day) if one.planned.label == label), None)
    if line is None:
        raise Http404("no such flask is planned")
    step = request.POST.get("do", "") if request.method == "POST" else ""
    forms = _forms(request, line, step)
    if not step:
        return _flask_page(request, day, line, forms)
    if step not in STEPS:
        raise Http404("no such step")
    form = forms[step]
    if not form.is_valid():
        return _flask_page(request, day, line, forms, status=422)
    try:
        _book(day, label, form, request)
    except Doubted as doubt:
        form.data = form.data.copy()
        form.data["seen"] = doubt.seen
        return _flask_page(request, day, line, forms | {"doubt": doubt.sentence, "doubted": step}, status=422)
    except NotBooked as refusal:
        return _flask_page(request, day, line, forms | {"refused": refusal.sentence}, status=409)
    messages.success(request, _("Booked."))
    return redirect("metal_account", day.pk) if step == "settle" else redirect("flask_metal", day.pk, label)


def _book(day: CastingDay, label: str, form: OnceForm, request: TeacherRequest) -> AccountEntry:
    """Book what a form says by the service that knows it."""
    how: dict[str, Any] = form.once | {"by": request.person}
    if isinstance(form, WeighOutForm):
        return weigh_out(day, label, form.weights_g, **how)
    if isinstance(form, WeighBackForm):
        return weigh_back(day, label, form.back, **how)
    assert isinstance(form, SettleForm)
    return settle(day, label, not_cast=form.not_cast, **how)


def _forms(request: TeacherRequest, line: FlaskLine, step: str) -> dict[str, Any]:
    """The three forms of a flask, the one that was sent with what was typed."""
    unit = units_of(request.school).weight

    def sent(name: str) -> dict[str, Any]:
        return {"data": request.POST if step == name else None, "auto_id": f"{name}_%s"}

    return {
        "weigh_out": WeighOutForm(**sent("weigh_out"), accounts=stock_for(line.planned, request.school), unit=unit),
        "weigh_back": WeighBackForm(
            **sent("weigh_back"), waxes=line.planned.waxes, unit=unit, weighed=line.booked.weighed
        ),
        "settle": SettleForm(**sent("settle"), waxes=line.to_weigh),
    }


def _flask_page(
    request: TeacherRequest, day: CastingDay, line: FlaskLine, forms: dict[str, Any], status: int = 200
) -> TemplateResponse:
    entries = AccountEntry.objects.filter(day=day, label=line.planned.label)
    rows = entries.select_related(*ENTRIES).prefetch_related("transfers__wax").order_by("-pk")
    context = _context(request, day) | forms | {"line": line, "entries": entry_lines(rows, request.school)}
    return TemplateResponse(request, "casting/account/flask_metal.html", context, status=status)


def _context(request: TeacherRequest, day: CastingDay) -> dict[str, Any]:
    plan = Plan.objects.latest_of(day)
    return day_context(day, plan, "metal_account") | {"units": units_of(request.school)}


@posted_from("metal_account", "day_id")
@teacher_required
def take_back(request: TeacherRequest, day_id: int, entry_id: int) -> HttpResponse:
    """Take an entry of a day back by another; else say why not."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    entry = get_object_or_404(AccountEntry.objects.filter(day=day), pk=entry_id)
    try:
        correct(entry, by=request.person, note=request.POST.get("note", "")[:200])
    except NotBooked as refusal:
        messages.error(request, refusal.sentence)
    else:
        messages.success(request, _("Taken back by an entry of its own. Both stay in the account."))
    if entry.label:
        return redirect("flask_metal", day.pk, entry.label)
    of_bills = entry.kind in (AccountEntry.Kind.BILL, AccountEntry.Kind.PAYMENT)
    return redirect("bills" if of_bills else "metal_account", day.pk)
