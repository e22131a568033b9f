"""The kiln room's schedule in the nights that the clocks change, and whom to call from it."""

import re
from datetime import datetime

import pytest

from casting.models import Flask, SafetyRecord
from casting.papers.pdf.render import render
from casting.papers.sheets.kiln_room import kiln_room_html
from casting.papers.sheets.supplement import supplement_es_html, supplement_html
from casting.papers.sheets.weigh_out import weigh_out_html
from tests.casting.papers.conftest import stored
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import pages_of
from tests.casting.papers.sheets.test_kiln_room import falls_after, plan_of_12, second_kiln
from tests.days import written_plans
from tests.days.written_plans import plan_of_24, plan_of_one


def autumn_night(monkeypatch):
    """The day of 24 waxes poured on 7 November at 07:00 in Denver: 02:00 is 01:00 again, at 08:00 UTC."""
    monkeypatch.setattr(written_plans, "POUR_AT", datetime(2027, 11, 7, 7, tzinfo=written_plans.ZONE))
    plan, day = plan_of_24()
    return plan, day | {"pour_at": "2027-11-07T07:00"}


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_night_that_the_clocks_go_back_has_a_row_and_tells_equal_times_apart(day, teacher, monkeypatch, paper):
    plan = stored(day, teacher, *autumn_night(monkeypatch))
    plan.day.course.school.paper = paper
    night, near, *pours = pages_of(render(kiln_room_html(job_of(plan))))
    assert re.search("Sun 02:00 → 01:00 clock back 1.h", night)
    # 130 min from 00:32 at UTC-6 end at 02:42 by that clock, 01:42 by the new one.
    assert re.search(r"second 01:42 732 ?°C HOLD until 03:42 then 538 °C 2 h, until 03:42", night)
    assert "Sun 01:42 (second)" in near and "The times between come twice: first, then second." in near
    assert len(pours) == 2


def test_a_spring_night_says_that_the_clock_goes_forward_and_another_says_nothing(day, teacher, plan_24, monkeypatch):
    night = pages_of(render(kiln_room_html(job_of(plan_24))))[0]
    assert re.search("Sun 02:00 → 03:00 clock forward 1.h", night)
    monkeypatch.setattr(written_plans, "POUR_AT", datetime(2027, 3, 21, 10, tzinfo=written_plans.ZONE))
    plan, of_day = plan_of_24()
    plan = stored(day, teacher, plan, of_day | {"pour_at": "2027-03-21T10:00"}, revision=9)
    said = " ".join(pages_of(render(kiln_room_html(job_of(plan)))))
    assert not re.search(r"clock (back|forward)|second\b|\(first\)", said)


def test_whom_to_call_stands_on_every_far_sheet_and_on_the_back(plan_24):
    pages = pages_of(render(kiln_room_html(job_of(plan_24))))
    assert all("Call: Imre Valdane, bench office." in page for page in pages)
    SafetyRecord.objects.update(contact="", emergency_number="")
    pages = pages_of(render(kiln_room_html(job_of(plan_24))))
    not_recorded = {"Call: not recorded.", "Emergency: not recorded."}
    assert all(said in page for page in pages for said in not_recorded)


def longest(field, words):
    """As many letters of the words, again and again, as the record takes."""
    return (words * 99)[: SafetyRecord._meta.get_field(field).max_length]


# One word without end takes most room, and Letter has least.
@pytest.mark.parametrize(
    ("paper", "words"), [("A4", "Wilhelmina Wommersley, at the workshop, +1 555 010 0000; "), ("Letter", "W")]
)
def test_the_longest_call_costs_no_sheet_and_is_whole_on_the_back(day, teacher, paper, words):
    contact, number = longest("contact", words), longest("emergency_number", words)
    SafetyRecord.objects.update(contact=contact, emergency_number=number)
    day.course.school.paper = paper
    day.course.school.save()
    plan, day_file = plan_of_24()
    falls = falls_after(plan, *range(7))
    assert len(falls["firings"][0]["segments"]) == 11
    sheets = [stored(day, teacher, falls, day_file), stored(day, teacher, *plan_of_12(), revision=2)]
    sheets.append(stored(day, teacher, *plan_of_one(), revision=3))
    # Night, back, seven rows of pours, two more; night, back, pours; both on one sheet, and its back.
    for plan, count in zip(sheets, (4, 3, 2), strict=True):
        pages = pages_of(render(kiln_room_html(job_of(plan))))
        assert len(pages) == count
        # A word of its own length is broken, so without the spaces.
        assert "".join(f"Call:{contact}.Emergency:{number}.".split()) in "".join(pages[1].split())
        assert "treat it as below." in pages[1]
        assert all("Emergency: " + number[:8] in page for page in pages)


def test_every_list_of_pours_says_how_the_clock_is_set_and_another_night_says_nothing(day, teacher, monkeypatch):
    """Poured after the change, by the new clock: whoever has not set a watch would come an hour off."""
    says = {
        weigh_out_html: ("Sun 02:00 → 01:00, clock back 1 h. The times between come twice", 1),
        supplement_html: ("Sun 02:00 → 01:00, clock back 1 h. The times between come twice", 2),
        supplement_es_html: ("02:00 → 01:00, el reloj se atrasa 1 h. Las horas intermedias vienen dos veces", 2),
    }
    plan = stored(day, teacher, *autumn_night(monkeypatch))
    monkeypatch.setattr(written_plans, "POUR_AT", datetime(2027, 3, 21, 10, tzinfo=written_plans.ZONE))
    file, day_file = plan_of_24()
    plain = stored(day, teacher, file, day_file | {"pour_at": "2027-03-21T10:00"}, revision=2)
    for html_of, (said, times) in says.items():
        (sheet,) = pages_of(render(html_of(job_of(plan))))
        assert sheet.replace("\u00a0", " ").count(said) == times
        assert not re.search("clock back|clock forward|reloj se", html_of(job_of(plain)))


def curves_of(page):
    """Which of the sheets of a page have a firing drawn on them."""
    sheets = page.split('<section class="kiln-sheet')[1:]
    return [nth for nth, sheet in enumerate(sheets) if 'class="drawing kiln-curve"' in sheet]


def test_the_firing_is_drawn_once_on_a_sheet_whose_rows_leave_room(day, teacher, plan_24, plan_1):
    # Night, back, pours, pours.
    assert curves_of(kiln_room_html(job_of(plan_24))) == [0]
    # Kiln on, three holds, the clock change, a soak and a pour fill the one sheet: it stands on its back.
    assert curves_of(kiln_room_html(job_of(plan_1))) == [1]
    # Two kilns: night, back, pours, empty back, and the same again.
    assert curves_of(kiln_room_html(job_of(stored(day, teacher, *second_kiln(), revision=7)))) == [0, 4]


def test_a_firing_is_drawn_on_no_sheet_that_is_full_of_rows_and_then_on_the_back(day, teacher):
    plan, of_day = plan_of_one()
    load = plan["steps"][0] | {"at": plan["firings"][0]["on_at"], "do": "load", "kiln": "k1"}
    plan["steps"].append(load)
    # Load, kiln on, three holds, the clock change, a soak and a pour: eight rows, so two sheets of six and two. One
    # free row of 18.9 mm leaves a firing's line no 3 mm of height; the five of the second sheet, after the back, do.
    assert curves_of(kiln_room_html(job_of(stored(day, teacher, plan, of_day)))) == [2]
    Flask.objects.create(day=day, label="A", state="poured")
    assert curves_of(kiln_room_html(job_of(stored(day, teacher, plan, of_day, revision=3)))) == []
    Flask.objects.all().delete()
    # Without the clock change they are seven and fill their one sheet.
    plan["firings"][0]["segments"].pop(1)
    row = stored(day, teacher, plan, of_day, revision=2)
    assert curves_of(kiln_room_html(job_of(row))) == [1]
    for paper, answers in (("A4", {}), ("Letter", {"emergency_number": "Use the red telephone; " * 5})):
        day.course.school.paper = paper
        day.course.school.save()
        SafetyRecord.objects.update(**answers)
        assert len(pages_of(render(kiln_room_html(job_of(row))))) == 2
