"""Prints noted: which paper, of which revision, from what, by whom and when."""

import datetime as dt
from dataclasses import dataclass, field

from django.utils import timezone

from casting.models import PaperPrinted
from casting.services.prints import mark_printed

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
