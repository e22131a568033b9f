"""A one-time link signs in one visitor."""

import datetime as dt

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from school.models import DemoLink


def test_a_link_signs_in_exactly_one(teacher, student):
    given = {"page": "/", "expires": timezone.now() + dt.timedelta(hours=1)}
    assert DemoLink.objects.create(token_hash="a", student=student, **given).visitor == student
    assert DemoLink.objects.create(token_hash="b", person=teacher, **given).visitor == teacher
    for nth, wrong in enumerate(({}, {"student": student, "person": teacher})):
        with pytest.raises(IntegrityError), transaction.atomic():
            DemoLink.objects.create(token_hash=str(nth), **given, **wrong)
