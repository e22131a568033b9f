"""The poster: read back from the PDF."""

from datetime import timedelta

from django.urls import reverse

from casting.papers.pdf.render import render
from casting.papers.sheets.poster import poster_html
from casting.presenters.formats import stamp
from school.join import show_code
from tests.casting.papers.printed import job_of
from tests.casting.papers.sheets.test_day_plan import words_of


def test_the_poster_has_class_code_and_address(plan_1):
    course = plan_1.day.course
    page = poster_html(job_of(plan_1.day, origin="https://bench.example.org"))
    assert f"<title>QR code of https://bench.example.org{reverse('join_class', args=[course.code])}</title>" in page
    text = words_of(render(page))
    assert course.name in text and show_code(course.code) in text
    assert f"https://bench.example.org{reverse('join')}" in text
    assert "Hand in your wax by" not in text
    assert f"first pour at {plan_1.day.pour_local():%H:%M}" in text and "do not pour" not in text


def test_the_poster_says_when_hand_in_ends_on_the_schools_clock(plan_1):
    day = plan_1.day
    day.hand_in_closes_at = day.pour_at - timedelta(days=3)
    local = day.hand_in_closes_at.astimezone(day.course.school.tz)
    assert f"Hand in your wax by {stamp(local)}" in words_of(render(poster_html(job_of(plan_1.day))))
    day.closed_at = day.hand_in_closes_at
    text = words_of(render(poster_html(job_of(plan_1.day))))
    assert "Hand-in is closed" in text and "Hand in your wax by" not in text
