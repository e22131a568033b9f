"""When a paper was first printed stands on it."""

from datetime import UTC, datetime
from unittest.mock import Mock

from django.urls import reverse

from casting.models import PaperPrinted
from casting.papers import printing, responses
from tests.casting.views.test_flasks import store
from tests.days.written_plans import plan_of_one


def test_a_print_says_when_and_printed_again_it_is_the_same(day, teacher, teacher_client, monkeypatch):
    monkeypatch.setattr(printing, "render_apart", lambda html: b"%PDF-" + html.encode())
    pdf = reverse("paper_pdf", args=[day.pk, "mix"])
    store(day, teacher, plan_of_one())
    looked_at = teacher_client.get(pdf).content
    monkeypatch.setattr(responses, "timezone", Mock(now=lambda: datetime(2027, 3, 10, 19, 5, tzinfo=UTC)))
    printed = teacher_client.post(pdf).content
    # 19:05 UTC is 14:05 in New York, before the clocks change on the 14th.
    assert b"First printed Wed 10 Mar 2027, 14:05." in printed and b"First printed" not in looked_at
    monkeypatch.setattr(responses, "timezone", Mock(now=lambda: datetime(2027, 3, 12, 8, 0, tzinfo=UTC)))
    assert teacher_client.post(pdf).content == printed and teacher_client.get(pdf).content == looked_at
    assert [row.at.day for row in PaperPrinted.objects.order_by("pk")] == [10, 12]
