"""The changes of a day and of a safety record in words."""

import datetime as dt

from casting.models import Alloy, FlaskSize
from casting.presenters.cautions import safety_record_of
from casting.presenters.day_history import history_of_day, history_of_record
from casting.services.days import DayEntry, announce, change
from casting.services.safety import keep_record
from casting.services.stock import stock_school

POUR_AT = dt.datetime(2030, 5, 4, 14, tzinfo=dt.UTC)


def words(day):
    return [(one.who, one.words) for one in history_of_day(day)]


def test_a_change_is_told_by_what_it_changed_in_the_school_s_words(course, teacher):
    stock_school(course.school)
    sterling, bronze = (Alloy.objects.get(school=course.school, key=key) for key in ("sterling", "si-bronze"))
    size = FlaskSize.objects.filter(school=course.school).first()
    day = announce(course, DayEntry(POUR_AT, [sterling]), teacher)
    more = {"own_hours": {"2030-05-03": None, "2030-05-04": ["08:00", "17:00"]}, "gloss_off_min": 8.5}
    entry = DayEntry(POUR_AT + dt.timedelta(hours=4), [sterling, bronze], None, dt.time(9), dt.time(18), **more)
    change(day, entry, by=teacher)
    change(
        day, DayEntry(entry.pour_at, [sterling, bronze], None, dt.time(9), dt.time(18), sizes_used=[size.key], **more)
    )
    told = words(day)
    assert told[0] == (teacher.name, "announced")
    # 14:00 in UTC is 10:00 in New York in May (IANA time zone data).
    assert told[1][1] == (
        "first pour Sat 4 May 2030, 14:00, was Sat 4 May 2030, 10:00; "
        f"metals {bronze.name}, {sterling.name}, was {sterling.name}; studio opens 09:00, was none; "
        "studio closes 18:00, was none; hours of single days 3 May nobody; 4 May 08:00–17:00, was none; "
        "gloss gone after 8.5 min, was none"
    )
    assert told[2] == ("", f"flask sizes {size.name}, was all")


def test_what_changed_nothing_is_not_told(day, teacher):
    same = DayEntry(day.pour_at, list(day.alloys.all()))
    change(day, same, by=teacher)
    assert words(day) == []


def test_answers_are_told_as_the_page_words_them(school, teacher):
    assert history_of_record(safety_record_of(school)) == []
    keep_record(school, {"melter": "torch", "adults": 0, "eyewash": False, "exits": "The yard"}, by=teacher)
    (only,) = history_of_record(safety_record_of(school))
    assert only.words == (
        "What melts the metal? torch, was not recorded; Is there an eyewash? no, was not recorded; "
        "Adults in the room while metal is hot 0, was not recorded; "
        "Ways out and meeting place The yard, was not recorded"
    )


def test_many_changes_cost_no_more_queries_than_few(day, teacher, django_assert_num_queries):
    metals = list(day.alloys.all())
    for hours in (1, 2, 3):
        change(day, DayEntry(day.pour_at + dt.timedelta(hours=hours), metals), by=teacher)
    with django_assert_num_queries(4):
        assert len(history_of_day(day)) == 3
    for hours in range(4, 20):
        change(day, DayEntry(day.pour_at + dt.timedelta(hours=hours), metals), by=teacher)
    with django_assert_num_queries(4):
        assert len(history_of_day(day)) == 19
