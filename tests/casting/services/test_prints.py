"""Prints noted: which paper, of which revision, from what, by whom and when."""

import datetime as dt
from dataclasses import dataclass, field

from django.utils import timezone

from casting.models import CastingDay, PaperPrinted
from casting.papers.printing import papers_of
from casting.services.prints import mark_printed
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in

AT = dt.datetime(2027, 3, 10, 19, 5, tzinfo=dt.UTC)


@dataclass
class APage:
    key: str
    revision: int | None = None
    parts: dict[str, str] = field(default_factory=dict)
    at: dt.datetime | None = None


def test_each_page_is_noted_as_it_was_printed(day, teacher, django_assert_num_queries):
    with django_assert_num_queries(1):
        mark_printed(day, [APage("mix", 3, {"plan": "a"}, AT), APage("poster", None, {"date": "b"}, AT)], teacher)
    rows = PaperPrinted.objects.order_by("pk").values_list("day", "key", "revision", "parts", "by", "at")
    assert list(rows) == [
        (day.pk, "mix", 3, {"plan": "a"}, teacher.pk, AT),
        (day.pk, "poster", None, {"date": "b"}, teacher.pk, AT),
    ]


def test_a_page_that_says_no_time_was_printed_now(day, teacher):
    before = timezone.now()
    mark_printed(day, [APage("poster")], teacher)
    assert before <= PaperPrinted.objects.get().at <= timezone.now()


def to_print(day, plan):
    """The keys of the papers to print, of rows read again from the database."""
    return [
        status.paper.key for status in papers_of(CastingDay.objects.get(pk=day.pk), plan).statuses() if status.to_print
    ]


def test_what_was_printed_is_up_to_date_until_what_it_was_made_of_changes(day, teacher):
    handed_in(day)
    plan = make_plan(day, teacher)
    papers = papers_of(day, plan)
    pages = [
        APage(status.paper.key, papers.revision_of(status.paper), papers.parts_of(status.paper), AT)
        for status in papers.statuses()
    ]
    assert to_print(day, plan) == [page.key for page in pages]
    mark_printed(day, pages, teacher)
    assert to_print(day, plan) == []
    type(day.course).objects.update(name="Rings in wax, the second class")
    assert to_print(day, plan) == [page.key for page in pages if "class" in page.parts]
    assert 0 < len(to_print(day, plan)) < len(pages)
