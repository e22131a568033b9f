"""What students pay: the price list, each version of its own."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from casting.forms.account.prices import PricesForm, typed_prices
from casting.selectors.account.balances import metals_of
from casting.selectors.account.bills import prices_of
from casting.services.account.bills import keep_prices
from casting.services.account.book import NotBooked
from school.access import TeacherRequest, teacher_required


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def prices(request: TeacherRequest) -> HttpResponse:
    """Show what students pay, and keep another version of it; bills that are made stay as they are."""
    metals = list(metals_of(request.school))
    last = request.school.price_lists.select_related("by").first()
    version = last.version if last else 0
    if request.method != "POST":
        shown = typed_prices(prices_of(last) if last else None, metals, version)
        return _prices_page(request, PricesForm(initial=shown, metals=metals), last)
    form = PricesForm(request.POST, metals=metals)
    if not form.is_valid():
        return _prices_page(request, form, last, status=422)
    try:
        kept = keep_prices(request.school, form.prices, by=request.person, version=form.cleaned_data["version"])
    except NotBooked as refusal:
        typed = request.POST.copy()  # pressed again, it is held against the prices that are there now
        typed["version"] = str(version)
        form = PricesForm(typed, metals=metals)
        form.add_error(None, refusal.sentence)
        return _prices_page(request, form, last, status=409)
    messages.success(
        request,
        _("Version %(version)d of the prices is kept. Bills made before stay as they are.") % {"version": kept.version},
    )
    return redirect("prices")


def _prices_page(request: TeacherRequest, form: PricesForm, last: Any, status: int = 200) -> TemplateResponse:
    context = {"form": form, "last": last, "currency": request.school.currency}
    return TemplateResponse(request, "casting/account/prices.html", context, status=status)
