"""The page at the investing bench, as a teacher and a helper use it."""

import re
from html import unescape

import pytest
from django.urls import reverse

from casting.models import CastingDay, Plan, StepRecord
from casting.services import waxes
from school.models import Role
from tests.conftest import client_of_teacher
from tests.factories import PersonFactory


@pytest.fixture
def bowl(planned):
    return "+".join(Plan.objects.latest_of(planned).file["bowls"][0]["flasks"])


@pytest.fixture
def post(teacher_client, planned, bowl):
    def page(name="note_bowl", client=teacher_client, **given):
        answer = client.post(reverse(name, args=[planned.pk]), {"what": bowl} | given, follow=True)
        return answer, said_by(answer)

    return page


def said_by(answer):
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]*>", " ", answer.content.decode())))


def test_a_bowl_from_its_water_to_its_flasks(post, teacher_client, planned, bowl):
    page = said_by(teacher_client.get(reverse("mixing", args=[planned.pk])))
    assert "Powder is in the water" in page and "Base not weighed" in page and "Gloss gone" not in page
    post(do="water", reads="21")
    _answer, page = post(do="mixing")
    assert "to work it, until" in page and "Gloss gone" in page
    _answer, page = post(do="mix")
    assert "Every flask is filled." in page and "rubber base off from" in page
    assert set(bowl.split("+")) == set(planned.states())
    _answer, page = post(do="mix", undo="yes")
    assert "Every flask is filled." not in page


def test_what_is_wrong_is_said_and_what_was_typed_stays(post):
    answer, page = post(do="water", reads="warm")
    assert answer.status_code == 422 and "is not a number" in page and 'value="warm"' in answer.content.decode()
    answer, page = post(do="water_g", reads="90")
    assert answer.status_code == 422 and "A dry mix holds air" in page and 'value="90"' in answer.content.decode()
    assert "It is right: note it" in page and "with the waxes as planned" not in page
    _answer, page = post(do="water_g", reads="90", sure="yes")
    assert "90 g: " in page and "It is right" not in page


def test_a_changed_wax_is_asked_about(post, planned):
    wax = planned.waxes.first()
    waxes.withdraw(wax, by=wax.student, version=wax.version)
    answer, page = post(do="mix")
    assert answer.status_code == 422 and "with the waxes as planned" in page
    _answer, page = post(do="mix", sure="yes")
    assert "Every flask is filled." in page


def test_a_helper_sees_what_was_measured_and_a_teacher_has_the_plan_count_on_it(post, planned, school, bowl):
    post(do="mixing")
    StepRecord.objects.create(
        day=planned, do="gloss", what=bowl, done_at=planned.steps_done.get(do="mixing").done_at, figures={"min": 8.2}
    )
    helper = client_of_teacher(PersonFactory(school=school, role=Role.HELPER))
    page = said_by(helper.get(reverse("mixing", args=[planned.pk])))
    assert "gone after 8.2 min." in page and "Tell the teacher" in page
    _answer, page = post("count_on_gloss")
    assert "The next plan of this day counts on it." in page
    assert CastingDay.objects.get(pk=planned.pk).gloss_off_min == 8.2
    _answer, page = post("count_on_gloss", what="Q")
    assert "Nobody noted when the gloss" in page


def test_the_page_tells_when_it_is_as_it_was_and_when_there_is_no_plan(teacher_client, planned):
    address = reverse("mixing", args=[planned.pk])
    version = re.search(r'data-version="([^"]*)"', teacher_client.get(address).content.decode())[1]
    assert teacher_client.get(address, {"version": version}).status_code == 204
    Plan.objects.all().delete()
    assert "casting/flasks/no_plan.html" in [one.name for one in teacher_client.get(address).templates]
