"""What who keeps the host sees of the casting days."""

import pytest
from django.urls import reverse

from casting.models import Alloy
from tests.casting_factories import handed_in
from tests.conftest import client_of_teacher
from tests.factories import PersonFactory


@pytest.fixture
def keeper_client(db):
    return client_of_teacher(PersonFactory(school=None, is_staff=True, is_superuser=True))


@pytest.mark.parametrize("name", ["alloy", "kiln", "castingday", "wax", "waxchange", "flask", "plan", "paperprinted"])
def test_every_list_opens(keeper_client, day, name):
    handed_in(day)
    assert keeper_client.get(reverse(f"admin:casting_{name}_changelist")).status_code == 200


def test_a_wax_is_read_there_and_never_written(keeper_client, day):
    wax = handed_in(day)
    change = reverse("admin:casting_wax_change", args=[wax.pk])
    assert keeper_client.get(change).status_code == 200
    assert keeper_client.post(change, {"what": "other"}).status_code == 403
    assert keeper_client.get(reverse("admin:casting_wax_add")).status_code == 403
    assert keeper_client.post(reverse("admin:casting_wax_delete", args=[wax.pk]), {"post": "yes"}).status_code == 403


def test_a_teacher_has_no_key_to_it(teacher_client, day):
    alloy = Alloy.objects.filter(school=day.course.school).first()
    assert teacher_client.get(reverse("admin:casting_alloy_change", args=[alloy.pk])).status_code == 302
