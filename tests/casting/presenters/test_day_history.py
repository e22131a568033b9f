"""The changes of a day and of a safety record in words."""

import datetime as dt

from django.utils import timezone

from casting.calc.values.enums import Do
from casting.models import Alloy, BenchChange, Flask, FlaskSize
from casting.presenters.cautions import safety_record_of
from casting.presenters.day_history import history_of_day, history_of_record
from casting.presenters.formats import on_clock_of
from casting.services.days import DayEntry, announce, change
from casting.services.flasks import fix_flask
from casting.services.poured import correct_poured_at
from casting.services.running.noting import note, take_back
from casting.services.safety import keep_record
from casting.services.stock import stock_school
from school.models import Role
from tests.factories import PersonFactory

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


def test_a_corrected_pour_keeps_the_time_and_the_person_that_stood_there(planned, teacher, school):
    helper = PersonFactory(school=school, name="Nadia Ferro", role=Role.HELPER)
    label = planned.plans.get().file["flasks"][0]["label"]
    at = timezone.now().replace(second=0, microsecond=0) - dt.timedelta(hours=2)
    fix_flask(planned, label, Flask.State.INVESTED, by=teacher)
    BenchChange.objects.filter(day=planned).delete()
    planned.steps_done.update(done_at=at - dt.timedelta(days=1))
    fix_flask(planned, label, Flask.State.POURED, by=teacher, poured_at=at)
    assert words(planned) == []  # noted once, and nothing before it
    correct_poured_at(planned, label, at + dt.timedelta(minutes=4), by=helper)
    first, then = (on_clock_of(at + dt.timedelta(minutes=by), school) for by in (0, 4))
    corrected = f"flask {label} poured {then} (Nadia Ferro), was {first} (Imre Valdane)"
    assert words(planned) == [("Nadia Ferro", corrected)]
    fix_flask(planned, label, Flask.State.INVESTED, by=teacher)
    assert words(planned)[1] == ("Imre Valdane", f"flask {label} poured taken back, was {then} (Nadia Ferro)")


def test_the_same_time_by_the_same_person_is_no_correction(planned, teacher):
    label = planned.plans.get().file["flasks"][0]["label"]
    fix_flask(planned, label, Flask.State.INVESTED, by=teacher)
    at = planned.steps_done.get().done_at
    note(planned, Do.MIX, label, at=at, by=teacher)
    assert words(planned) == []


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
    with django_assert_num_queries(5):
        assert len(history_of_day(day)) == 3
    for hours in range(4, 20):
        change(day, DayEntry(day.pour_at + dt.timedelta(hours=hours), metals), by=teacher)
    with django_assert_num_queries(5):
        assert len(history_of_day(day)) == 19


def test_what_was_weighed_or_read_before_its_correction_is_told_with_its_figure(planned, teacher):
    at = timezone.now()
    read = {
        "weighed": ({"gross_g": "41.48", "base_g": "31.5"}, "41.48\u202fg \N{MINUS SIGN} 31.50\u202fg"),
        "water": ({"celsius": 27}, "27\u202f°C"),
        "bell": ({"reading": 25.5, "unit": "inHg"}, "25.5 inHg"),
        "gloss": ({"min": 8.2}, "8.2 min"),
    }
    for do, (figures, _said) in read.items():
        note(planned, do, "A", at=at, by=teacher, figures=figures)
        take_back(planned, do, "A", by=teacher)
    told = [said for _who, said in words(planned)]
    for one, (_figures, said) in zip(told[-4:], read.values(), strict=True):
        assert f"{said}, " in one and "taken back" in one
