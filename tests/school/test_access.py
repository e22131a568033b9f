"""Who makes a request and what they may do; a demo school on this machine only."""

import pytest
from django.test import Client, RequestFactory
from django.urls import reverse

from school.access import client_address, is_loopback, log_in_student, may_visit
from school.join import join
from school.models import Student
from tests.conftest import client_of_student
from tests.factories import PASSWORD, CourseFactory, PersonFactory, SchoolFactory

OUTSIDE = {"REMOTE_ADDR": "192.0.2.7"}  # kept for documentation, RFC 5737


@pytest.fixture(autouse=True)
def _hosts(settings):
    settings.ALLOWED_HOSTS = [*settings.ALLOWED_HOSTS, "tidewater.example"]


@pytest.fixture
def demo(db):
    return SchoolFactory(is_demo=True)


@pytest.fixture
def demo_course(demo):
    return CourseFactory(school=demo)


@pytest.fixture
def demo_teacher(demo):
    return PersonFactory(school=demo)


def local(**changed):
    return RequestFactory().get("/", **({"HTTP_HOST": "127.0.0.1:8000", "REMOTE_ADDR": "127.0.0.1"} | changed))


@pytest.mark.parametrize(
    ("changed", "loopback"),
    [
        ({}, True),
        ({"HTTP_HOST": "localhost"}, True),
        ({"HTTP_HOST": "[::1]:8000", "REMOTE_ADDR": "::1"}, True),
        ({"REMOTE_ADDR": "127.8.9.10"}, True),  # all of 127.0.0.0/8 is this machine, RFC 1122
        ({"REMOTE_ADDR": "10.0.0.5"}, False),
        ({"REMOTE_ADDR": ""}, False),
        ({"HTTP_HOST": "tidewater.example"}, False),
        ({"HTTP_X_FORWARDED_FOR": "127.0.0.1"}, False),
        ({"HTTP_FORWARDED": "for=127.0.0.1"}, False),
    ],
    ids=str,
)
def test_only_a_browser_on_this_machine_is_loopback(changed, loopback):
    assert is_loopback(local(**changed)) is loopback


def test_nothing_behind_a_proxy_is_loopback(settings):
    settings.BEHIND_PROXY = True
    assert not is_loopback(local())


def test_a_forwarded_address_counts_behind_our_own_proxy_only(settings):
    request = local(HTTP_X_FORWARDED_FOR="198.51.100.1, 192.0.2.7")
    assert client_address(request) == "127.0.0.1"
    settings.BEHIND_PROXY = True
    assert client_address(request) == "192.0.2.7"


def test_a_real_school_is_visited_from_everywhere(school, demo):
    outside = local(**OUTSIDE)
    assert may_visit(outside, school) and may_visit(outside, None)
    assert not may_visit(outside, demo)
    assert may_visit(local(), demo)


def test_nobody_beyond_this_machine_signs_in_to_a_demo_school(demo_teacher):
    typed = {"sign_in": demo_teacher.sign_in, "password": PASSWORD}
    outside, here = Client(**OUTSIDE), Client(HTTP_HOST="localhost")
    assert outside.post(reverse("sign_in"), typed).status_code == 422
    assert outside.get(reverse("people")).status_code == 302
    assert here.post(reverse("sign_in"), typed).status_code == 302
    assert here.get(reverse("people")).status_code == 200


def test_a_refused_teacher_of_a_demo_is_told_no_more_than_anybody_else(demo_teacher):
    pages = [
        Client(**OUTSIDE).post(reverse("sign_in"), {"sign_in": demo_teacher.sign_in, "password": password})
        for password in (PASSWORD, "quite another one")
    ]
    right, wrong = (page.context["form"].non_field_errors() for page in pages)
    assert right == wrong


def test_nobody_beyond_this_machine_joins_a_demo_class(demo_course):
    outside = Client(**OUTSIDE)
    assert outside.post(reverse("join"), {"code": demo_course.code}).status_code == 422
    address = reverse("join_class", args=[demo_course.code])
    assert outside.get(address).status_code == 404
    assert outside.post(address, {"called": "Sunniva Okoro"}).status_code == 404
    assert not Student.objects.exists()
    assert Client(HTTP_HOST="localhost").get(address).status_code == 200


def test_no_student_of_a_demo_comes_back_from_beyond_this_machine(demo_course):
    student, code = join(demo_course, "Sunniva Okoro")
    typed = {"code": demo_course.code, "called": student.called, "return_code": code}
    assert Client(**OUTSIDE).post(reverse("came_back"), typed).status_code == 422
    assert Client(HTTP_HOST="localhost").post(reverse("came_back"), typed).status_code == 302


def test_a_session_of_the_demo_ends_at_the_edge_of_this_machine(demo_course, demo_teacher):
    student, _code = join(demo_course, "Sunniva Okoro")
    phone = client_of_student(student)
    desk = Client()
    desk.force_login(demo_teacher)
    for client, page, elsewhere in ((phone, "my_waxes", "came_back"), (desk, "people", "sign_in")):
        assert client.get(reverse(page), HTTP_HOST="localhost").status_code == 200
        assert client.get(reverse(page), **OUTSIDE).url.startswith(reverse(elsewhere))
        assert client.get(reverse(page), HTTP_HOST="tidewater.example").status_code == 302


def test_the_demo_itself_may_serve_the_network(demo_course, demo_teacher, settings):
    settings.DEMO_ON_LAN = True
    outside = Client(**OUTSIDE, HTTP_HOST="tidewater.example")
    assert outside.get(reverse("join_class", args=[demo_course.code])).status_code == 200
    outside.force_login(demo_teacher)
    assert outside.get(reverse("people")).status_code == 200


def test_a_student_logs_in_to_an_empty_session(student):
    client = Client()
    request = local()
    request.session = client.session
    request.session["of the one before"] = "x"
    log_in_student(request, student)
    assert "of the one before" not in request.session
