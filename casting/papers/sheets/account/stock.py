"""The stock sheet: what the account says lies in the safe, heap by heap, with a box for what is counted."""

from __future__ import annotations

from django.template.loader import render_to_string

from casting.papers.print_job import PrintJob
from casting.presenters.account.stock import stock_of
from casting.presenters.formats import units_of


def stock_html(job: PrintJob) -> str:
    """Return the page of the stock sheet."""
    school = job.day.course.school
    context = {"school": school, "edition": job.edition, "units": units_of(school), "metals": stock_of(school)}
    return render_to_string("papers/account/stock.html", context | {"day": job.day})
