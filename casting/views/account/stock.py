"""The school's stock of metal: lots, bags, sweeps and students' own; what is bought, counted and sent away."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from casting.forms.account.fields import OnceForm
from casting.forms.account.stock import HeapForm, LotForm, OwnForm
from casting.models import AccountEntry
from casting.presenters.account.stock import MetalStock, stock_of
from casting.presenters.account.words import entry_lines
from casting.presenters.formats import units_of
from casting.services.account.book import NotBooked
from casting.services.account.corrections import correct
from casting.services.account.stock import bring_own, buy_lot, count, hand_back_own, send_away
from school.access import TeacherRequest, posted_from, teacher_required

LAST = 40
"""Entries that the page shows."""
Forms = dict[str, OnceForm]


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def stock(request: TeacherRequest) -> HttpResponse:
    """Show the stock of metal, and book what is bought, brought, handed back, counted or sent away."""
    metals = stock_of(request.school)
    do = request.POST.get("do", "") if request.method == "POST" else ""
    forms = _forms(request, metals, do)
    if not do:
        return _page(request, metals, forms)
    if do not in BOOKS:
        raise Http404("no such step")
    name, book = BOOKS[do]
    form = forms[name]
    if not form.is_valid():
        return _page(request, metals, forms, opened=name, status=422)
    how = {one: value for one, value in form.once.items() if one != "seen"}
    try:
        book(request, form, how | {"by": request.person})
    except NotBooked as refusal:
        form.add_error(None, refusal.sentence)
        return _page(request, metals, forms, opened=name, status=409)
    messages.success(request, _("Booked."))
    return redirect("stock")


Book = Callable[[TeacherRequest, Any, dict[str, Any]], object]


def _of_own(service: Callable[..., object]) -> Book:
    def book(_request: TeacherRequest, form: Any, how: dict[str, Any]) -> object:
        data = form.cleaned_data
        return service(data["student"], data["alloy"], data["weight"], **how)

    return book


def _of_heap(service: Callable[..., object]) -> Book:
    def book(request: TeacherRequest, form: Any, how: dict[str, Any]) -> object:
        return service(request.school, int(form.cleaned_data["account"]), form.cleaned_data["weight"], **how)

    return book


BOOKS: dict[str, tuple[str, Book]] = {
    "lot": ("lot", lambda request, form, how: buy_lot(request.school, form.entry, **how)),
    "own_in": ("own", _of_own(bring_own)),
    "own_out": ("own", _of_own(hand_back_own)),
    "count": ("heap", _of_heap(count)),
    "send": ("heap", _of_heap(send_away)),
}
"""By button: its form, and what it books."""


def _forms(request: TeacherRequest, metals: list[MetalStock], do: str) -> Forms:
    unit, sent = units_of(request.school).weight, BOOKS.get(do, ("",))[0]

    def given(name: str) -> dict[str, Any]:
        return {"data": request.POST if sent == name else None, "auto_id": f"{name}_%s", "unit": unit}

    heaps = [heap for metal in metals for heap in metal.heaps]
    today = timezone.now().astimezone(request.school.tz).date()
    return {
        "lot": LotForm(**given("lot"), school=request.school, initial={"bought_on": today}),
        "own": OwnForm(**given("own"), school=request.school),
        "heap": HeapForm(**given("heap"), heaps=heaps),
    }


def _page(
    request: TeacherRequest, metals: list[MetalStock], forms: Forms, opened: str = "", status: int = 200
) -> TemplateResponse:
    rows = AccountEntry.objects.of(request.person).filter(day__isnull=True).order_by("-pk")
    moved = ("transfers__wax", "transfers__to_account__alloy", "transfers__from_account__alloy")
    rows = rows.select_related("by", "corrected_by__by").prefetch_related(*moved)[:LAST]
    context = {
        "metals": metals,
        "forms": forms,
        "opened": opened,
        "units": units_of(request.school),
        "entries": entry_lines(rows, request.school),
    }
    return TemplateResponse(request, "casting/account/stock.html", context, status=status)


@posted_from("stock")
@teacher_required
def take_back_stock(request: TeacherRequest, entry_id: int) -> HttpResponse:
    """Take an entry of the stock back by another; else say why not."""
    entry = get_object_or_404(AccountEntry.objects.of(request.person).filter(day__isnull=True), pk=entry_id)
    try:
        correct(entry, by=request.person)
    except NotBooked as refusal:
        messages.error(request, refusal.sentence)
    else:
        messages.success(request, _("Taken back by an entry of its own. Both stay in the account."))
    return redirect("stock")
