"""The page in the kiln room and its readings, as a teacher and a helper use it."""

import re
from html import unescape

import pytest
from django.urls import reverse

from casting.models import KilnReading, SafetyRecord
from casting.services.flasks import note_kiln


@pytest.fixture
def kiln(planned, teacher):
    key = planned.plans.first().file["firings"][0]["kiln"]
    note_kiln(planned, key, on=True, by=teacher)
    return key


@pytest.fixture
def read(teacher_client, planned):
    def page(**given):
        answer = teacher_client.post(reverse("kiln_reading", args=[planned.pk]), given, follow=True)
        return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]*>", " ", answer.content.decode())))

    return page


def test_a_reading_is_noted_and_taken_away(read, kiln, planned, teacher):
    assert "Read 120 °C at" in read(what=kiln, reads="120").replace("\N{NARROW NO-BREAK SPACE}", " ")
    row = KilnReading.objects.get(day=planned)
    assert row.by == teacher
    assert "Read 120" not in read(what=kiln, away=str(row.pk))
    assert not KilnReading.objects.exists()


def test_what_is_wrong_is_said_and_nothing_written(read, kiln):
    assert "is hotter than any kiln here" in read(what=kiln, reads="9000")
    assert "The plan fires no such kiln." in read(what="k9", reads="20")
    assert "Nothing is entered." in read(what=kiln, reads="")
    assert not KilnReading.objects.exists()


def test_the_page_has_the_kiln_its_words_and_the_power_failure(teacher_client, planned, kiln):
    address = reverse("kiln_room", args=[planned.pk])
    page = teacher_client.get(address).content.decode()
    assert "should read" in page and "If the power fails" in page and 'class="drawing night-curve"' in page
    version = re.search(r'data-version="([^"]*)"', page)[1]
    assert teacher_client.get(address, {"version": version}).status_code == 204


def test_a_stop_is_said_before_the_kiln_goes_on(teacher_client, planned):
    addresses = [reverse(name, args=[planned.pk]) for name in ("kiln_room", "pours")]
    assert not any(b"A STOP holds this plan back." in teacher_client.get(one).content for one in addresses)
    SafetyRecord.objects.all().delete()
    assert all(b"A STOP holds this plan back." in teacher_client.get(one).content for one in addresses)


def test_a_kiln_is_put_on_from_its_page(teacher_client, planned):
    key = planned.plans.first().file["firings"][0]["kiln"]
    answer = teacher_client.post(reverse("tick", args=[planned.pk]), {"do": "kiln_on", "what": key})
    assert answer.url == reverse("kiln_room", args=[planned.pk]) + f"?kiln={key}" and key in planned.kilns_on()
    answer = teacher_client.post(reverse("tick", args=[planned.pk]), {"do": "kiln_on", "what": "k9"}, follow=True)
    assert "The plan fires no such kiln." in answer.content.decode()


def test_without_a_plan_or_a_flask_there_is_no_kiln(teacher_client, day, teacher):
    address = reverse("kiln_room", args=[day.pk])
    assert "casting/flasks/no_plan.html" in [one.name for one in teacher_client.get(address).templates]
