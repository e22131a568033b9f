"""Prints of papers by day and paper."""

from casting.models import PaperPrinted
from tests.casting_factories import DayFactory


def test_prints_of_a_day_stand_by_paper_in_their_order(day, django_assert_num_queries):
    prints = [
        PaperPrinted.objects.create(day=day, key=key, revision=nth) for nth, key in ((1, "a"), (1, "b"), (2, "a"))
    ]
    PaperPrinted.objects.create(day=DayFactory(), key="a", revision=9)
    with django_assert_num_queries(1):
        found = PaperPrinted.objects.of_day(day)
        assert [str(row.by) for row in found["a"]] == ["None", "None"]
    assert found == {"a": [prints[0], prints[2]], "b": [prints[1]]}


def test_a_paper_made_before_any_plan_has_no_revision(day):
    assert str(PaperPrinted(day=day, key="poster")) == "poster"
    assert str(PaperPrinted(day=day, key="handout", revision=3)) == "handout 3"
