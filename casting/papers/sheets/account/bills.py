"""The bills of a day, each by itself, to be cut apart and handed out with the pieces."""

from __future__ import annotations

from django.template.loader import render_to_string

from casting.papers.print_job import PrintJob
from casting.presenters.account.bills import bills_in_order
from casting.presenters.formats import units_of


def bills_html(job: PrintJob) -> str | None:
    """Return the page of the bills; None while there is none."""
    bills, school = bills_in_order(job.day), job.day.course.school
    if not bills:
        return None
    context = {"school": school, "edition": job.edition, "units": units_of(school), "bills": bills, "day": job.day}
    return render_to_string("papers/account/bills.html", context)
