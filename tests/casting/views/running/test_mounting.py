"""The page at the scale, as a teacher and a helper use it."""

import re
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from casting.models import BasePhoto, Flask, PieceDefect, Plan
from casting.presenters.opened_plan import OpenedPlan
from casting.services.flasks import fix_flask
from tests.photos import opened, with_place


@pytest.fixture
def flask(planned):
    return OpenedPlan(Plan.objects.latest_of(planned)).sheet.flask("A")


@pytest.fixture
def post(teacher_client, planned):
    def page(**given):
        given = {"do": "weighed", "what": "A"} | given
        answer = teacher_client.post(reverse("weigh_base", args=[planned.pk]), given, follow=True)
        return answer, said_by(answer)

    return page


def said_by(answer):
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]*>", " ", answer.content.decode())))


def test_a_base_is_weighed_and_taken_back(post, teacher_client, planned, flask):
    slips_g = sum(one.wax.wax_g for one in flask.waxes)
    page = said_by(teacher_client.get(reverse("mounting", args=[planned.pk])))
    assert "on the slips" in page and "Finished base, g" in page
    assert all(one.name.tag in page and one.name.student in page for one in flask.waxes)
    _answer, page = post(reads=str(round(20 + 1.04 * slips_g, 2)), base_reads="20")
    assert "Every base is weighed." in page and "Weigh out as mounted: A" in page
    assert "Undo A" in page
    _answer, page = post(undo="yes")
    assert "Every base is weighed." not in page


def test_what_is_asked_keeps_what_was_typed(post, flask):
    slips_g = sum(one.wax.wax_g for one in flask.waxes)
    answer, page = post(reads=str(round(20 + 1.1 * slips_g, 2)), base_reads="20")
    assert answer.status_code == 422 and "say that it is right" in page and "It is right: note it" in page
    assert f'value="{round(20 + 1.1 * slips_g, 2)}"' in answer.content.decode()
    answer, page = post(reads="nine", base_reads="20")
    assert answer.status_code == 422 and "It is right" not in page and 'value="nine"' in answer.content.decode()


def test_the_page_tells_when_it_is_as_it_was_and_when_there_is_no_plan(teacher_client, planned, day):
    address = reverse("mounting", args=[planned.pk])
    version = re.search(r'data-version="([^"]*)"', teacher_client.get(address).content.decode())[1]
    assert teacher_client.get(address, {"version": version}).status_code == 204
    Plan.objects.all().delete()
    assert "casting/flasks/no_plan.html" in [one.name for one in teacher_client.get(address).templates]


def test_a_photo_of_the_base_is_cleaned_and_shown_where_its_flask_is_looked_at(planned, teacher, teacher_client, flask):
    """At the scale, at the torch, and beside what went wrong with one of its pieces."""
    keep, small = (reverse(name, args=[planned.pk, "A"]) for name in ("keep_base_photo", "small_base_photo"))
    page = teacher_client.post(keep, {"photo": SimpleUploadedFile("a.jpg", with_place())}, follow=True).content.decode()
    assert "The photo of base A is kept." in page and f'src="{small}?' in page
    assert opened(teacher_client.get(small).content).size == (240, 180)
    assert b"Saltmarsh" not in bytes(BasePhoto.objects.get().jpeg)
    fix_flask(planned, "A", Flask.State.INVESTED, by=teacher)
    assert small in teacher_client.get(reverse("pours", args=[planned.pk])).content.decode()
    fix_flask(planned, "A", Flask.State.POURED, by=teacher, poured_at=timezone.now())
    PieceDefect.objects.create(wax=planned.waxes.get(tag=flask.waxes[0].name.tag), kind="rough", where="thin")
    assert small in teacher_client.get(reverse("defects", args=[planned.pk])).content.decode()
    teacher_client.post(keep, {"do": "remove"})
    assert teacher_client.get(small).status_code == 404 and not BasePhoto.objects.exists()
    assert (
        "has no flask Q"
        in teacher_client.post(
            reverse("keep_base_photo", args=[planned.pk, "Q"]),
            {"photo": SimpleUploadedFile("a.jpg", b"x")},
            follow=True,
        ).content.decode()
    )
