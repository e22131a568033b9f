"""What every page of the bench begins with."""

import pytest
from django.urls import reverse

from casting.models import Plan
from casting.views.running.bench_page import with_query
from tests.casting_factories import DayFactory

PAGES = ("mounting", "mixing", "kiln_room", "pours")


@pytest.mark.parametrize("name", PAGES)
def test_a_page_that_shows_all_of_it_is_told_so_and_a_day_without_a_plan_says_so(name, planned, course, teacher_client):
    address = reverse(name, args=[planned.pk])
    page = teacher_client.get(address)
    assert page.context["version"] and page.context["plan"] == Plan.objects.latest_of(planned)
    assert teacher_client.get(address, {"version": page.context["version"]}).status_code == 204
    assert teacher_client.get(address, {"version": "an older one"}).status_code == 200
    unplanned = teacher_client.get(reverse(name, args=[DayFactory(course=course).pk]))
    assert unplanned.templates[0].name == "casting/flasks/no_plan.html"


def test_an_address_takes_what_is_given_and_nothing_of_what_is_not():
    assert with_query("/pours/", flask="") == "/pours/"
    assert with_query("/pours/", flask="A&B", kiln="") == "/pours/?flask=A%26B"
