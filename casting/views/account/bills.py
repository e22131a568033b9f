"""The bills of a day: what each student pays for what was cast, made at once, paid one by one, taken away as a list."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from casting.forms.account.payment import PaymentForm, said_in_one
from casting.models import AccountEntry, CastingDay, Plan
from casting.presenters.account.bills import bills_table, student_lines
from casting.presenters.formats import units_of
from casting.presenters.navigation import day_context
from casting.services.account.bills import make_bills, pay
from casting.services.account.book import NotBooked
from school.access import TeacherRequest, posted_from, teacher_required
from school.csv_file import answer_csv


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def bills(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Show what each student of the day pays, and make the bills that can be made."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    if request.method == "POST":
        if day.why_shut:
            messages.error(request, day.why_shut)
            return redirect("bills", day.pk)
        made = make_bills(day, by=request.person)
        words = ngettext("%(bills)d bill is made.", "%(bills)d bills are made.", len(made.bills))
        if made.bills:
            messages.success(request, words % {"bills": len(made.bills)})
        if made.waiting:
            words = ngettext(
                "%(students)d student has a flask that is not settled: no bill yet.",
                "%(students)d students have a flask that is not settled: no bill yet.",
                len(made.waiting),
            )
            messages.error(request, words % {"students": len(made.waiting)})
        for sentence in dict.fromkeys(made.refused.values()):
            messages.error(request, sentence)
        return redirect("bills", day.pk)
    lines = student_lines(day)
    context = day_context(day, Plan.objects.latest_of(day), "metal_account") | {
        "lines": lines,
        "units": units_of(request.school),
        "ready": any(line.bill is None and not line.of_day.waits for line in lines),
        "waiting": any(line.bill is None and line.of_day.waits for line in lines),
        "prices": request.school.price_lists.first(),
        "rows": [(line, PaymentForm(auto_id=False)) for line in lines],
    }
    return TemplateResponse(request, "casting/account/bills.html", context)


@posted_from("bills", "day_id")
@teacher_required
def pay_bill(request: TeacherRequest, day_id: int, entry_id: int) -> HttpResponse:
    """Note that a bill was paid, or a part of it; else say why not.

    Money comes after the day, so a closed day takes it too.
    """
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    bill = get_object_or_404(AccountEntry.objects.filter(day=day, kind=AccountEntry.Kind.BILL), pk=entry_id)
    form = PaymentForm(request.POST)
    if not form.is_valid():
        messages.error(request, said_in_one(form))
        return redirect("bills", day.pk)
    try:
        pay(bill, form.cleaned_data["amount"], by=request.person, key=form.cleaned_data["key"])
    except NotBooked as refusal:
        messages.error(request, refusal.sentence)
    else:
        words = {"number": bill.details["number"]}
        part = form.cleaned_data["amount"] is not None
        said = _("A payment of bill %(number)s is booked.") if part else _("Bill %(number)s is paid.")
        messages.success(request, said % words)
    return redirect("bills", day.pk)


@require_safe
@teacher_required
def bills_csv(request: TeacherRequest, day_id: int) -> HttpResponse:
    """Answer the lines of the day's bills."""
    day = get_object_or_404(CastingDay.objects.of(request.person), pk=day_id)
    return answer_csv(f"bills-{day.pour_local():%Y-%m-%d}", *bills_table(day))
