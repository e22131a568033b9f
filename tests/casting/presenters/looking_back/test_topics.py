"""The figures of a school under their headings: what stands beside each, and what to note where there is none."""

import pytest

from casting.models import CastingDay, Investment
from casting.presenters.looking_back.learned import line_of
from casting.presenters.looking_back.topics import Shelf, topics_of
from tests.casting.account_days import lot_of
from tests.casting.past_days import earlier, poured, read, three_days

pytestmark = pytest.mark.django_db


def test_a_school_without_a_past_day_is_told_what_to_note(planned, school):
    topics = topics_of(school)
    assert [topic.slug for topic in topics] == ["button", "loss", "pour", "kiln", "gloss", "metal"]
    assert all(topic.missing and not topic.lines for topic in topics)


def test_each_figure_stands_beside_what_plans_go_by(planned, school, teacher):
    for past in three_days(planned, lot_of(school, teacher, grams="2000"), teacher):
        poured(past, 6)
        read(past, (560, 720), (600, 640))
    CastingDay.objects.filter(pour_at__lt=planned.pour_at).update(gloss_off_min=8.5)
    topics = topics_of(school)
    lines = {line.key: line for topic in topics for line in topic.lines}
    # The shelf: a button of 15 %, silver loses 2 % at most, 5 min a pour, 150 C an hour, 9.5 min of working time, and
    # sterling of 10.36 in wax of 0.96: 10.79 g a gram.
    assert {key: round(line.default, 2) for key, line in lines.items()} == {
        "button-medium": 15, "loss-sterling": 2, "pour": 5, "cool_c_per_h-k1": 150, "gloss": 9.5,
        "metal-sterling-carving-wax": 10.79,
    }  # fmt: skip
    offered = {key: line.offer.offered for key, line in lines.items() if line.offer}
    assert offered == {
        "button-medium": 18.5, "pour": 6, "cool_c_per_h-k1": 120, "gloss": 8.5, "metal-sterling-carving-wax": 10.42
    }  # fmt: skip
    # A fall of 194 C takes 97 min at 120 C an hour and 77.6 at 150; three of them.
    assert "58 min more planned" in lines["cool_c_per_h-k1"].changed
    assert "3 min more planned" in lines["pour"].changed
    assert lines["loss-sterling"].offer is None and lines["loss-sterling"].why_not


def test_a_mix_is_never_offered_to_be_worked_longer_than_its_sheet_says(planned, school):
    for back in (7, 14, 21):
        CastingDay.objects.filter(pk=earlier(planned, back).pk).update(gloss_off_min=11)
    gloss = line_of(topics_of(school), "gloss")
    assert gloss.spread.median == 11 and gloss.offer is None and gloss.why_not


def test_the_shelf_of_a_school_takes_five_queries(planned, school, django_assert_num_queries):
    with django_assert_num_queries(5):
        shelf = Shelf.of(school)
    assert shelf.powder == Investment.objects.at(school).first()
