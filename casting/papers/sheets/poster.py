"""The hand-in poster of a day: the class, the last hand-in, and the code that lets a phone in."""

from __future__ import annotations

import io

import segno
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from casting.papers.print_job import PrintJob
from school.join import show_code

INK = "#000"


def poster_html(job: PrintJob) -> str:
    """Return the page of the poster; its code opens the class's own joining page."""
    day, school = job.day, job.day.course.school
    closes_at = day.hand_in_closes_at
    context = {
        "edition": job.edition,
        "school": school,
        "course": day.course,
        "pour_at": day.pour_local(),
        "closes_at": closes_at.astimezone(school.tz) if closes_at else None,
        "closed": day.closed_at is not None,
        "code": show_code(day.course.code),
        "join_address": job.address_of(reverse("join")),
        "qr": draw_code(job.address_of(reverse("join_class", args=[day.course.code]))),
    }
    return render_to_string("papers/poster.html", context)


def draw_code(address: str) -> SafeString:
    """Return the QR code of an address as a drawing with its name."""
    out = io.BytesIO()
    title = _("QR code of %(address)s") % {"address": address}
    code = segno.make(address, error="m", micro=False)
    code.save(out, kind="svg", xmldecl=False, title=title, svgclass="qr", lineclass=None, omitsize=True, dark=INK)
    return mark_safe(out.getvalue().decode())  # noqa: S308 (segno escapes the title; the rest is its own)
