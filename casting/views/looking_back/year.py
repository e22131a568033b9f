"""A school's year at a glance, and the same as a list to take away."""

from __future__ import annotations

from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from casting.presenters.looking_back.year_page import YearPage, year_table
from casting.selectors.looking_back.year import year_of
from school.access import TeacherRequest, teacher_required
from school.csv_file import answer_csv

FIRST, LAST = 1990, 2200
"""Years that a page is asked for; a year that is none of them is this year."""


@require_safe
@teacher_required
def year(request: TeacherRequest) -> HttpResponse:
    """Show a year."""
    return TemplateResponse(request, "casting/looking_back/year.html", {"page": _page(request)})


@require_safe
@teacher_required
def year_csv(request: TeacherRequest) -> HttpResponse:
    """Answer the months of a year."""
    page = _page(request)
    return answer_csv(f"year-{page.year.number}", *year_table(page))


def _page(request: TeacherRequest) -> YearPage:
    asked = request.GET.get("year", "")
    here = timezone.now().astimezone(request.school.tz).year
    number = int(asked) if asked.isascii() and asked.isdigit() and len(asked) == 4 else here
    return YearPage(year_of(request.school, number if FIRST <= number <= LAST else here), request.school)
