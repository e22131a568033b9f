"""A return code that was shown stays on the student's own phone for a while, so that a reload shows it again.

The school keeps its hash alone: the code is in a signed cookie that no script reads.
"""

from __future__ import annotations

from django.conf import settings
from django.core import signing
from django.http import HttpRequest
from django.template.response import TemplateResponse

from school.join import fits
from school.models import Student

COOKIE = "return_code"
SHOWN_FOR_S = 15 * 60


def keep_shown(answer: TemplateResponse, student: Student, code: str) -> TemplateResponse:
    """Keep a code that the answer shows, or leads to, on the phone that asked."""
    answer.set_cookie(
        COOKIE,
        signing.dumps(code, salt=_salt(student)),
        max_age=SHOWN_FOR_S,
        path="/",
        secure=settings.HTTPS,
        httponly=True,
        samesite="Strict",
    )
    return answer


def shown_code(request: HttpRequest, student: Student) -> str:
    """Return the student's code if this phone was shown it a while ago and it still holds; else nothing."""
    try:
        code = str(signing.loads(request.COOKIES.get(COOKIE, ""), salt=_salt(student), max_age=SHOWN_FOR_S))
    except signing.BadSignature:
        return ""
    return code if fits(student, code) else ""


def _salt(student: Student) -> str:
    return f"school.return_code.{student.pk}"
