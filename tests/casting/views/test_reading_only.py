"""A GET writes nothing: every address of the site is opened by everybody, with a search ended and not settled."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from casting.models import PieceDefect, Recast, Search
from casting.services import searches
from school.students import remove
from school.team import invite
from tests.addresses import ROUTES
from tests.casting.account_days import an_entry
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.factories import StudentFactory

WRITES = re.compile(r"\s*(INSERT|UPDATE|DELETE|REPLACE|CREATE|DROP|ALTER)\b", re.IGNORECASE)
OF_SESSION = "django_session"


@pytest.fixture
def site(day, student, teacher):
    """A day with a plan, and searches of both kinds that have ended and that nobody has settled."""
    wax = handed_in(day, student)
    plan = make_plan(day, by=teacher)
    searches.begin(day, teacher)
    searches.begin_saving(plan, teacher)
    assert all(search.goes_on for search in Search.objects.all()) and Search.objects.count() == 2
    given = {"day_id": day.pk, "wax_id": wax.pk, "course_id": day.course_id, "student_id": student.pk}
    given["defect_id"] = PieceDefect.objects.create(wax=wax, kind="rough", where="thin").pk
    given["recast_id"] = Recast.objects.create(wax=wax, fate="again", at=timezone.now()).pk
    given |= {"kind": "metals", "step": "metals", "row_id": wax.alloy_id, "entry_id": an_entry(day, teacher).pk}
    given |= {"change_id": remove(teacher, StudentFactory(course=day.course).pk).pk}
    given |= {"person_id": teacher.pk, "invitation_id": invite(teacher, "Nadia", "helper")[0].pk}
    return given | {"label": "A", "key": "mix", "which": "all", "code": day.course.code}


def written_by(client, address, **how):
    with CaptureQueriesContext(connection) as queries:
        answer = client.get(address, **how)
    assert answer.status_code < 500, address
    return [one["sql"] for one in queries if WRITES.match(one["sql"]) and OF_SESSION not in one["sql"]]


@pytest.mark.usefixtures("blank_papers")
def test_no_get_writes(site, teacher_client, student_client, stranger_client):
    for client in (teacher_client, student_client, stranger_client):
        for name, given in ROUTES:
            address = reverse(name, kwargs={key: site[key] for key in given})
            assert written_by(client, address) == [], address
            assert written_by(client, address, headers={"HX-Request": "true"}) == [], address


def test_a_post_of_the_same_page_settles_the_search(site, teacher_client):
    """The walk above can fail: the search that it leaves alone is one that a POST writes of."""
    teacher_client.post(reverse("end_search", args=[site["day_id"]]))
    assert Search.objects.get(kind=Search.Kind.PLAN).state == Search.State.KEPT
