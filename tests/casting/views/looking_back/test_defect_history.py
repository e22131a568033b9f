"""The page of defects so far."""

import pytest
from django.urls import reverse

from casting.models import PieceDefect
from tests.casting.past_days import earlier

pytestmark = pytest.mark.django_db


def test_a_teacher_sees_the_school_s_own_alone(planned, teacher_client, other_teacher_client):
    page = reverse("defect_history")
    assert "Nothing is cast yet" in teacher_client.get(page).content.decode()
    PieceDefect.objects.create(wax=earlier(planned, 7).waxes.first(), kind="rough", where="thin")
    assert "1 (33\u202f%)" in teacher_client.get(page).content.decode()
    assert "Nothing is cast yet" in other_teacher_client.get(page).content.decode()
