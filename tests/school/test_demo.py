"""One-time links to a demo school: once, on this machine, for a while, and never into a real school."""

import datetime as dt
import logging

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from school.demo import LIFETIME, find_link, issue_link, use_up, void_links
from school.models import DemoLink
from tests.factories import CourseFactory, PersonFactory, SchoolFactory, StudentFactory

HERE = {"HTTP_HOST": "127.0.0.1:8000", "REMOTE_ADDR": "127.0.0.1"}
ELSEWHERE = [
    {"REMOTE_ADDR": "192.0.2.7"},  # another machine, RFC 5737
    {"REMOTE_ADDR": ""},  # nobody knows
    {"HTTP_HOST": "tidewater.example"},  # another site's name that points to this machine
    {"HTTP_X_FORWARDED_FOR": "127.0.0.1"},  # through a proxy
    {"HTTP_FORWARDED": "for=127.0.0.1"},
]
NO_LONGER = "This link no longer works"


@pytest.fixture(autouse=True)
def _hosts(settings):
    settings.ALLOWED_HOSTS = [*settings.ALLOWED_HOSTS, "tidewater.example"]


@pytest.fixture
def demo(db):
    return SchoolFactory(is_demo=True)


@pytest.fixture
def teacher(demo):
    return PersonFactory(school=demo)


@pytest.fixture
def student(demo):
    return StudentFactory(course=CourseFactory(school=demo), called="Maelis Quint")


@pytest.fixture
def browser():
    return Client(**HERE)


def visit(browser, token, **how):
    return browser.get(reverse("open_demo"), {"token": token}, **how)


def press(browser, token, **how):
    return browser.post(reverse("open_demo"), {"token": token}, **how)


@pytest.mark.parametrize("host", ["127.0.0.1:8000", "localhost:8000", "[::1]:8000"])
def test_the_button_signs_the_student_in_and_opens_the_page(student, browser, host):
    token = issue_link(student, "/my-waxes/")
    page = visit(browser, token, HTTP_HOST=host)
    assert "Maelis Quint" in page.content.decode()
    answer = press(browser, token, HTTP_HOST=host)
    assert (answer.status_code, answer.url) == (302, "/my-waxes/")
    assert browser.get("/my-waxes/", HTTP_HOST=host).status_code == 200


def test_the_button_signs_the_teacher_in(teacher, browser):
    assert browser.get(reverse("people")).status_code == 302
    press(browser, issue_link(teacher, reverse("people")))
    assert browser.get(reverse("people")).status_code == 200


def test_a_link_opens_once(teacher, browser):
    token = issue_link(teacher, "/classes/")
    assert press(browser, token).status_code == 302
    other = Client(**HERE)
    for answer in (press(other, token), visit(other, token), press(browser, token)):
        assert answer.status_code == 404
        assert NO_LONGER in answer.content.decode()
    assert other.get(reverse("people")).status_code == 302


def test_of_two_browsers_at_once_one_gets_in(teacher):
    token = issue_link(teacher, "/classes/")
    found = [find_link(token), find_link(token)]
    assert [use_up(link) for link in found] == [True, False]


def test_a_browser_that_loads_ahead_uses_no_link_up(teacher, browser):
    token = issue_link(teacher, "/classes/")
    for _time in range(3):
        assert visit(browser, token).status_code == 200
        browser.head(reverse("open_demo"), {"token": token})
    assert browser.get(reverse("people")).status_code == 302
    assert press(browser, token).status_code == 302


@pytest.mark.parametrize("how", ELSEWHERE, ids=str)
def test_a_link_opens_on_this_machine_only(teacher, browser, how):
    token = issue_link(teacher, "/classes/")
    for answer in (visit(browser, token, **how), press(browser, token, **how)):
        assert answer.status_code == 404
        assert teacher.name not in answer.content.decode()
    assert DemoLink.objects.count() == 1


def test_no_link_opens_beyond_this_machine_when_the_demo_serves_the_network(teacher, browser, settings):
    settings.DEMO_ON_LAN = True
    assert press(browser, issue_link(teacher, "/classes/"), REMOTE_ADDR="192.0.2.7").status_code == 404


def test_an_expired_link_opens_nothing(teacher, browser):
    token = issue_link(teacher, "/classes/")
    link = DemoLink.objects.get()
    assert dt.timedelta(0) < link.expires - timezone.now() <= LIFETIME
    DemoLink.objects.update(expires=timezone.now())
    for answer in (visit(browser, token), press(browser, token)):
        assert answer.status_code == 404 and NO_LONGER in answer.content.decode()


def test_no_link_is_made_into_a_real_school(db):
    for real in (PersonFactory(), StudentFactory(), PersonFactory(school=None, is_superuser=True)):
        with pytest.raises(ValueError, match="no demo school"):
            issue_link(real, "/")
    assert not DemoLink.objects.exists()


def test_a_link_into_a_school_that_became_real_opens_nothing(demo, teacher, student, browser):
    tokens = [issue_link(teacher, "/classes/"), issue_link(student, "/my-waxes/")]
    demo.is_demo = False
    demo.save()
    for token in tokens:
        assert visit(browser, token).status_code == press(browser, token).status_code == 404


@pytest.mark.parametrize("token", ["", "x", "\x00", "w" * 5000])
def test_a_guess_opens_nothing(teacher, browser, token):
    issue_link(teacher, "/classes/")
    assert visit(browser, token).status_code == press(browser, token).status_code == 404


def test_the_link_alone_says_where_it_leads(teacher, browser):
    token = issue_link(teacher, "/classes/")
    typed = {"token": token, "next": "https://elsewhere.example/", "page": "//elsewhere.example/"}
    assert browser.post(reverse("open_demo") + "?next=//elsewhere.example/", typed).url == "/classes/"


def test_the_database_keeps_no_token_and_no_log_names_one(teacher, browser, caplog):
    token = issue_link(teacher, "/classes/")
    assert token not in str(list(DemoLink.objects.values()))
    assert len(token) >= 22  # 128 bits at 6 bits a letter
    with caplog.at_level(logging.DEBUG):
        visit(browser, token, REMOTE_ADDR="192.0.2.7")
        press(browser, token)
        visit(browser, token)
    assert "/demo/" in caplog.text and token not in caplog.text


def test_a_new_start_voids_the_links_before_it(demo, teacher, student, browser):
    other = issue_link(PersonFactory(school=SchoolFactory(is_demo=True)), "/classes/")
    old = [issue_link(teacher, "/classes/"), issue_link(student, "/my-waxes/")]
    void_links(demo)
    for token in old:
        assert visit(browser, token).status_code == 404
    assert visit(browser, other).status_code == 200


def test_two_links_side_by_side_spoil_none_of_each_others_forms(teacher):
    strict = Client(enforce_csrf_checks=True, **HERE)
    first, second = (issue_link(teacher, "/classes/") for _link in range(2))
    visit(strict, first), visit(strict, second)
    assert press(strict, first).status_code == 302
    form = strict.get(reverse("people")).context["csrf_token"]
    assert press(strict, second).status_code == 302
    assert strict.post(reverse("sign_out"), {"csrfmiddlewaretoken": str(form)}).status_code == 302


def test_a_teachers_link_keeps_nothing_of_the_student_before(student, teacher, browser):
    press(browser, issue_link(student, "/my-waxes/"))
    press(browser, issue_link(teacher, "/classes/"))
    assert browser.get(reverse("my_waxes")).url == reverse("came_back")


def test_a_link_signs_in_one(student, teacher):
    for visitors in ({"person": teacher, "student": student}, {}):
        with pytest.raises(IntegrityError), transaction.atomic():
            DemoLink.objects.create(token_hash="x", page="/", expires=timezone.now(), **visitors)
