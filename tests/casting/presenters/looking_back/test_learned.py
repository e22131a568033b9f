"""A figure of past days beside the default in use: offered where there are enough, with what it would have changed."""

import pytest

from casting.presenters.looking_back.learned import line_of
from casting.presenters.looking_back.topics import topics_of
from tests.casting.account_days import lot_of
from tests.casting.past_days import earlier, three_days, weighed

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot(school, teacher):
    return lot_of(school, teacher, grams="2000")


def line(school, key):
    return line_of(topics_of(school), key)


def test_three_buttons_are_offered_as_few_with_what_they_would_have_changed(planned, lot, teacher, school):
    # 18, 18.5 and 19 g beyond 100 g each: the median is 18.5 %. 15 % misses by 3, 3.5 and 4: 3.5 on average; 18.5 % by
    # 0.5, 0 and 0.5: 0.33. On three days of 100 g it weighs out 3.5 g more each: 10.5 g.
    three_days(planned, lot, teacher)
    button = line(school, "button-medium")
    assert (button.default, button.offer.offered, button.few, button.too_few) == (15, 18.5, True, False)
    assert (button.offer.missed, round(button.offer.would_miss, 2)) == (3.5, 0.33)
    assert button.changed == "On the latest days with such figures (3): 10.50\u202fg more metal weighed out."
    assert button.words(button.spread.median) == "18.5\u202f%"
    assert [where for _day, _date, where, _words in button.rows] == ["A", "A", "A"]
    assert [words for _day, _date, _where, words in button.rows] == ["18\u202f%", "18.5\u202f%", "19\u202f%"]


def test_of_two_buttons_nothing_is_offered(planned, lot, teacher, school):
    for back in (7, 14):
        weighed(earlier(planned, back), lot, teacher, "18")
    button = line(school, "button-medium")
    assert button.offer is None and button.too_few


def test_only_the_latest_days_tell_what_would_have_changed(planned, lot, teacher, school):
    past = [earlier(planned, back) for back in (7, 14, 21, 28)]
    for one in past:
        weighed(one, lot, teacher, "18")
    assert {figure.day for figure in line(school, "button-medium").latest} == set(past[:3])


def test_what_the_shelf_refuses_is_not_offered(planned, lot, teacher, school):
    # 3 castings of 28 g: 85 g of metal for 9.6 g of wax make a sterling of 8.50; its parts make 10.37.
    for back in (7, 14, 21):
        weighed(earlier(planned, back), lot, teacher, "34", each="28")
    metal = line(school, "metal-sterling-carving-wax")
    assert metal.offer is None and "10.37" in metal.refused


def test_the_default_is_no_offer(planned, lot, teacher, school):
    # 15 g beyond 100 g: what plans go by. The melt took half a gram of it, and no less is offered for that.
    for back in (7, 14, 21):
        weighed(earlier(planned, back), lot, teacher, "14.5", charge="115")
    assert line(school, "button-medium").offer is None
