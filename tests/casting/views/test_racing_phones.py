"""Phones that send the same waxes at once: each wax is there once, thanks to the key made on the phone."""

from __future__ import annotations

import uuid
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection
from django.urls import reverse

from casting.models import Wax
from tests.casting_factories import DayFactory, typed
from tests.conftest import client_of_student
from tests.factories import StudentFactory

PHONES, SENT = 12, 5
"""Each phone sends one wax so often at once; 60 posts. `tests.bench.race` sends 300."""


def posted(with_key):
    """What each phone's post was answered, all sent at once; without the key each post has one of its own."""
    day = DayFactory()
    phones = [client_of_student(StudentFactory(course=day.course)) for _ in range(PHONES)]
    values = [typed(day, later="1", outbox="1") for _ in phones]
    address = reverse("hand_in_day", args=[day.pk])

    def post(nth):
        phone, sent = phones[nth % PHONES], values[nth % PHONES]
        own = {} if with_key else {"key": str(uuid.uuid4())}
        try:
            return phone.post(address, sent | own).status_code
        finally:
            connection.close()

    with ThreadPoolExecutor(max_workers=PHONES) as threads:
        return list(threads.map(post, range(PHONES * SENT)))


@pytest.mark.django_db(transaction=True)
def test_of_many_phones_at_once_no_wax_is_lost_and_none_is_doubled():
    answers = posted(with_key=True)
    assert sorted(answers) == [200] * PHONES * (SENT - 1) + [201] * PHONES
    assert Wax.objects.count() == Wax.objects.values("student", "tag").distinct().count() == PHONES


@pytest.mark.django_db(transaction=True)
def test_without_the_key_the_same_posts_are_doubled():
    assert posted(with_key=False) == [201] * PHONES * SENT
    assert Wax.objects.count() == PHONES * SENT
