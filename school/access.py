"""Who is here, and what they may see and do: the only file that decides identity and permission."""

from __future__ import annotations

import datetime as dt
import functools
from collections.abc import Callable
from typing import Any, Concatenate, ParamSpec, cast

from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_cache_control
from django.utils.crypto import constant_time_compare, salted_hmac
from django.views.decorators.http import require_http_methods
from django_htmx.middleware import HtmxDetails

from school.models import FailedTry, Person, School, Student

P = ParamSpec("P")

STUDENT_KEY = "student"
STAMP_KEY = "student_stamp"
STUDENT_SESSION = dt.timedelta(days=180)

# Only failed tries count, so sixty phones behind one address join unhindered; a hand that mistypes
# ten times in ten minutes waits, and a machine gets nowhere against codes of 30 and 40 bits.
WINDOW = dt.timedelta(minutes=10)
MOST_FAILED_ON_ONE = 10
MOST_FAILED_FROM_ONE_ADDRESS = 100


class SchoolRequest(HttpRequest):
    """A request as views meet it, for the type checker."""

    htmx: HtmxDetails
    person: Person | None
    student: Student | None


class TeacherRequest(HttpRequest):
    htmx: HtmxDetails
    person: Person
    school: School


class StudentRequest(HttpRequest):
    htmx: HtmxDetails
    student: Student


class WhoIsHere:
    """Middleware that gives every request its person (a teacher) and its student, or None."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: SchoolRequest) -> HttpResponseBase:
        request.person = request.user if isinstance(request.user, Person) else None
        request.student = _student_in(request)
        response = self.get_response(request)
        if request.person or request.student:
            # On a shared machine the back button shows nobody the last one's page.
            patch_cache_control(response, private=True, no_store=True)
        return response


def _student_in(request: HttpRequest) -> Student | None:
    """Return the student of this session, in one query; a new return code ends the sessions of the old."""
    pk = request.session.get(STUDENT_KEY)
    if pk is None:
        return None
    student = Student.objects.select_related("course", "school").filter(pk=pk).first()
    if student and constant_time_compare(request.session.get(STAMP_KEY, ""), _stamp(student)):
        return student
    return None


def _stamp(student: Student) -> str:
    return salted_hmac("school.access.student", student.return_hash, algorithm="sha256").hexdigest()


def let_student_in(request: HttpRequest, student: Student) -> None:
    """Open a long session for the student, under a new key, with nothing of whoever was here before."""
    request.session.flush()
    request.session[STUDENT_KEY] = student.pk
    request.session[STAMP_KEY] = _stamp(student)
    request.session.set_expiry(STUDENT_SESSION)


def teacher_required(
    view: Callable[Concatenate[TeacherRequest, P], HttpResponseBase],
) -> Callable[Concatenate[HttpRequest, P], HttpResponseBase]:
    """Let teachers of a school through; anybody else is asked to sign in."""

    @functools.wraps(view)
    def guarded(request: Any, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        if request.person is None or request.person.school_id is None:
            return redirect_to_login(request.get_full_path())
        request.school = request.person.school
        return view(request, *args, **kwargs)

    return guarded


def student_required(
    view: Callable[Concatenate[StudentRequest, P], HttpResponseBase],
) -> Callable[Concatenate[HttpRequest, P], HttpResponseBase]:
    """Let students through; anybody else is asked for their return code."""

    @functools.wraps(view)
    def guarded(request: Any, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        if request.student is None:
            return redirect("came_back")
        return view(request, *args, **kwargs)

    return guarded


def posted_from(page: str, *names: str) -> Callable[[Callable[P, HttpResponseBase]], Callable[P, HttpResponseBase]]:
    """Let only a POST through, from the button on `page`; whoever asks for the address is shown that page.

    People come here by a reload, by the address bar, by the back button or after signing in again. `names` are the
    parts of this address that the page's own has too.
    """

    def guard(view: Callable[P, HttpResponseBase]) -> Callable[P, HttpResponseBase]:
        @require_http_methods(["GET", "HEAD", "POST"])
        @functools.wraps(view)
        def guarded(*args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
            if cast(HttpRequest, args[0]).method == "POST":
                return view(*args, **kwargs)
            return redirect(reverse(page, kwargs={name: kwargs[name] for name in names}))

        return guarded

    return guard


def address_of(request: HttpRequest) -> str:
    """Return where the request came from; a forwarded address counts only behind our own proxy."""
    if settings.BEHIND_PROXY:
        # The last entry is the proxy's own word; those before it are the caller's.
        return str(request.headers.get("X-Forwarded-For", "").split(",")[-1].strip()[:64])
    return str(request.META.get("REMOTE_ADDR", ""))[:64]


def _hashed(subject: str) -> str:
    return salted_hmac("school.access.failed", subject.casefold(), algorithm="sha256").hexdigest()


def must_wait(request: HttpRequest, door: str, subject: str) -> bool:
    """Return whether this address failed too often of late, on this subject or in all."""
    failed = FailedTry.objects.filter(door=door, address=address_of(request), at__gt=timezone.now() - WINDOW)
    if failed.filter(subject=_hashed(subject)).count() >= MOST_FAILED_ON_ONE:
        return True
    return failed.count() >= MOST_FAILED_FROM_ONE_ADDRESS


def note_failure(request: HttpRequest, door: str, subject: str) -> None:
    """Count one wrong try, and forget those that no longer count."""
    FailedTry.objects.filter(door=door, at__lte=timezone.now() - WINDOW).delete()
    FailedTry.objects.create(door=door, address=address_of(request), subject=_hashed(subject))


def nonce(request: HttpRequest) -> dict[str, Any]:
    """Context processor: htmx's template tag looks for the policy's nonce under its own name."""
    return {"csp_nonce": getattr(request, "csp_nonce", "")}
