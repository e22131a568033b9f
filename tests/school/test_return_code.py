"""A return code stays on the phone that was shown it, for a while and while it holds."""

import pytest
from django.template.response import TemplateResponse
from django.test import RequestFactory

from school.join import renew
from school.return_code import COOKIE, SHOWN_FOR_S, keep_shown, shown_code


@pytest.fixture
def cookie(rf, student):
    code = renew(student)
    kept = keep_shown(TemplateResponse(rf.get("/"), "school/joined.html"), student, code).cookies[COOKIE]
    assert kept["httponly"] and kept["samesite"] == "Strict" and kept["max-age"] == SHOWN_FOR_S
    return code, kept.value


def shown(value, student):
    request = RequestFactory().get("/")
    request.COOKIES[COOKIE] = value
    return shown_code(request, student)


def test_a_code_is_shown_again_on_the_phone_that_has_it_and_to_its_student_alone(cookie, student, classmate):
    code, value = cookie
    assert shown(value, student) == code
    assert shown(value, classmate) == shown(value[:-1], student) == shown("", student) == ""


def test_a_code_that_holds_no_more_is_not_shown(cookie, student):
    renew(student)
    assert shown(cookie[1], student) == ""
