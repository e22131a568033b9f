"""The page on which a teacher takes the whole school away."""

import io
import json
import zipfile

from django.urls import reverse

from casting.selectors.takeaway import SCHOOL_FILE
from school.models import Role
from tests.casting_factories import handed_in
from tests.conftest import client_of_teacher
from tests.factories import PersonFactory

PAGE = reverse("take_away")


def test_the_page_says_what_is_in_the_file_and_the_school_s_page_leads_to_it(teacher_client):
    page = teacher_client.get(PAGE).content.decode()
    assert "Not in it: passwords" in page and "names of your students" in page
    assert f'href="{PAGE}"' in teacher_client.get(reverse("school_page")).content.decode()


def test_the_button_gives_the_file(day, student, teacher_client, monkeypatch):
    monkeypatch.setattr("casting.views.take_away.IN_MEMORY", 100)  # so that it goes through a file of the system's
    handed_in(day, student, what="signet ring")
    answer = teacher_client.post(PAGE)
    assert answer["Content-Type"] == "application/zip" and "no-store" in answer["Cache-Control"]
    assert f'filename="{day.course.school.slug}-20' in answer["Content-Disposition"]
    values = json.loads(zipfile.ZipFile(io.BytesIO(answer.getvalue())).read(SCHOOL_FILE))
    assert [wax["what"] for wax in values["waxes"]] == ["signet ring"]


def test_each_teacher_gets_their_own_school(day, student, teacher_client, other_teacher, other_teacher_client):
    handed_in(day, student)
    for client, name, waxes in (
        (teacher_client, day.course.school.name, 1),
        (other_teacher_client, other_teacher.school.name, 0),
    ):
        values = json.loads(zipfile.ZipFile(io.BytesIO(client.post(PAGE).getvalue())).read(SCHOOL_FILE))
        assert (values["school"]["name"], len(values["waxes"])) == (name, waxes)


def test_a_helper_takes_nothing_away(teacher):
    helper = client_of_teacher(PersonFactory(school=teacher.school, role=Role.HELPER))
    assert helper.get(PAGE).status_code == helper.post(PAGE).status_code == 403
