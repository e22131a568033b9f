"""Identity and permission: who makes a request and what they may do. No other module decides either."""

from __future__ import annotations

import datetime as dt
import functools
import ipaddress
from collections.abc import Callable
from typing import Any, Concatenate, ParamSpec, cast
from urllib.parse import urlsplit

from django.conf import settings
from django.contrib.auth import login
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_cache_control
from django.utils.crypto import constant_time_compare, salted_hmac
from django.views.decorators.http import require_http_methods
from django_htmx.middleware import HtmxDetails

from school.join import stands_for
from school.kept import class_at
from school.models import FailedAttempt, Person, Role, School, Student
from school.models.classes import BACK_FOR

P = ParamSpec("P")

STUDENT_KEY = "student"
HASH_KEY = "student_session_hash"
LEFT_KEY = "left"
STUDENT_SESSION = dt.timedelta(days=180)
OF_SESSION = (
    "SELECT school_student.*, mark FROM school_student LEFT JOIN school_schoolmark USING (school_id) "
    "WHERE school_student.id = %s"
)
"""A student with the mark of their school. Each page of a phone asks it, and to write it anew takes twice its time."""

# Only failures count, so a class of sixty phones behind one address joins freely. A person who mistypes ten times
# in ten minutes has to wait, and a machine cannot guess codes of 30 and 40 bits.
WINDOW = dt.timedelta(minutes=10)
MAX_FAILURES_PER_SUBJECT = 10
ON_ALL_SUBJECTS = 10
"""So many times the limit of one subject may fail from one address on all subjects together."""
MAX_NEW_NAMES = 80
"""New names in one class from one address within the window: a class of sixty joins behind one of them."""

TEACHERS: frozenset[str] = frozenset({Role.TEACHER})
TEACHERS_AND_HELPERS: frozenset[str] = frozenset({Role.TEACHER, Role.HELPER})
"""The two kinds of pages of a school, by who may open them; students have pages of their own."""


class SchoolRequest(HttpRequest):
    """A request after the middleware, as the type checker sees it."""

    htmx: HtmxDetails
    person: Person | None
    student: Student | None


class TeacherRequest(HttpRequest):
    """A request that `teacher_required` or `helper_required` has let through."""

    htmx: HtmxDetails
    person: Person
    school: School


class StudentRequest(HttpRequest):
    """A request that `student_required` has let through."""

    htmx: HtmxDetails
    student: Student


class IdentityMiddleware:
    """Middleware that sets the person (a teacher) and the student of a request, each None if there is none.

    A demo school's people are nobody to a request that may not visit their school.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: SchoolRequest) -> HttpResponseBase:
        request.person = _person_of(request)
        request.student = _student_of(request)
        response = self.get_response(request)
        if request.person or request.student:
            # On a shared machine the back button must not show the last person's page.
            patch_cache_control(response, private=True, no_store=True)
        return response


def _person_of(request: HttpRequest) -> Person | None:
    """Return the teacher or administrator who has signed in."""
    person = request.user
    return person if isinstance(person, Person) and may_visit(request, person.school) else None


def _student_of(request: HttpRequest) -> Student | None:
    """Return the student of the session, in one query unless merged; a new return code ends the old one's sessions."""
    return _student_in(request, request.session)


def _student_in(request: HttpRequest, said: Any) -> Student | None:
    """Return the student whom a session names with the hash of their return code."""
    pk = said.get(STUDENT_KEY)
    if pk is None:
        return None
    student = next(iter(Student.objects.raw(OF_SESSION, [pk])), None)
    if student is None:
        return None
    student.course = class_at(student.course_id, student.mark)
    student.school = student.course.school
    if not may_visit(request, student.school):
        return None
    codes = [student.return_hash, *([student.old_hash] if student.new_code_can_be_undone else [])]
    kept = said.get(HASH_KEY, "")
    same = any(constant_time_compare(kept, _session_hash(code)) for code in codes)
    return stands_for(student) if same else None


def _session_hash(code_hash: str) -> str:
    """Return what a session of a student must carry; it changes with the return code."""
    return salted_hmac("school.access.student", code_hash, algorithm="sha256").hexdigest()


def log_in_student(request: HttpRequest, student: Student) -> None:
    """Log the student in for a long time, in a new session that keeps nothing of the one before."""
    request.session.flush()
    request.session[STUDENT_KEY] = student.pk
    request.session[HASH_KEY] = _session_hash(student.return_hash)
    request.session.set_expiry(STUDENT_SESSION)


def keep_logged_in(request: HttpRequest, student: Student) -> None:
    """Let this session go on under the student's new return code: the same session, whose answer may get lost."""
    request.session[HASH_KEY] = _session_hash(student.return_hash)


def leave(request: HttpRequest) -> None:
    """Log the student out of this browser, which lets them back for a day."""
    left = {name: request.session.get(name) for name in (STUDENT_KEY, HASH_KEY)}
    request.session.flush()
    request.session[LEFT_KEY] = left
    request.session.set_expiry(BACK_FOR)


def left_student(request: HttpRequest) -> Student | None:
    """Return the student who left this browser within a day, unless their return code is another since."""
    left = request.session.get(LEFT_KEY)
    return _student_in(request, left) if left else None


def log_in_person(request: HttpRequest, person: Person) -> None:
    """Log somebody in with a password's session, which keeps nothing of the one before: not a student's length."""
    request.session.flush()
    login(request, person, backend="django.contrib.auth.backends.ModelBackend")


def teacher_required(
    view: Callable[Concatenate[TeacherRequest, P], HttpResponseBase],
) -> Callable[Concatenate[HttpRequest, P], HttpResponseBase]:
    """Require a teacher of a school: for whatever plans, changes the school or looks after its people."""
    return _required(view, TEACHERS)


def helper_required(
    view: Callable[Concatenate[TeacherRequest, P], HttpResponseBase],
) -> Callable[Concatenate[HttpRequest, P], HttpResponseBase]:
    """Require a teacher or a helper of a school: for what is looked at, ticked, weighed or printed on the day."""
    return _required(view, TEACHERS_AND_HELPERS)


def _required(
    view: Callable[Concatenate[TeacherRequest, P], HttpResponseBase], roles: frozenset[str]
) -> Callable[Concatenate[HttpRequest, P], HttpResponseBase]:
    """Require somebody of a school in one of these roles.

    Others of a school are told that it takes a teacher; the site's administrator is led to their own pages, anybody
    else to the sign-in page.
    """

    @functools.wraps(view)
    def guarded(request: Any, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        if request.person is None:
            return redirect_to_login(request.get_full_path())
        if request.person.school_id is None:
            return redirect("home")
        if request.person.role not in roles:
            return TemplateResponse(request, "school/teachers_only.html", status=403)
        request.school = request.person.school
        return view(request, *args, **kwargs)

    return guarded


def student_required(
    view: Callable[Concatenate[StudentRequest, P], HttpResponseBase],
) -> Callable[Concatenate[HttpRequest, P], HttpResponseBase]:
    """Require a student; send anybody else to the page that asks for the return code."""

    @functools.wraps(view)
    def guarded(request: Any, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        if request.student is None:
            return redirect("came_back")
        return view(request, *args, **kwargs)

    return guarded


def posted_from(page: str, *names: str) -> Callable[[Callable[P, HttpResponseBase]], Callable[P, HttpResponseBase]]:
    """Require a POST, which a button on `page` sends; redirect a GET to that page.

    A GET comes from a reload, the address bar, the back button or the redirect after signing in. `names` are the
    arguments that the two addresses share.
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


def client_address(request: HttpRequest) -> str:
    """Return the address that the request came from; a forwarded address counts only behind our own proxy."""
    if settings.BEHIND_PROXY:
        # The proxy itself writes the last entry; the caller may have written those before it.
        return str(request.headers.get("X-Forwarded-For", "").split(",")[-1].strip()[:64])
    return str(request.META.get("REMOTE_ADDR", ""))[:64]


def is_loopback(request: HttpRequest) -> bool:
    """Tell whether a browser on this machine made the request: never true of one that a proxy passed on."""
    if settings.BEHIND_PROXY or "X-Forwarded-For" in request.headers or "Forwarded" in request.headers:
        return False
    # The host name too: a page of another site may have its own name point to 127.0.0.1.
    host = urlsplit(f"//{request.get_host()}").hostname or ""
    return _names_loopback(str(request.META.get("REMOTE_ADDR", ""))) and _names_loopback(host)


def _names_loopback(host: str) -> bool:
    try:
        return host == "localhost" or ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def may_visit(request: HttpRequest, school: School | None) -> bool:
    """Tell whether a request may see anything of that school: of a demo school only on this machine.

    `manage.py demo --lan` is the exception; it sets `DEMO_ON_LAN`.
    """
    return school is None or not school.is_demo or settings.DEMO_ON_LAN or is_loopback(request)


def _hashed(subject: str) -> str:
    return salted_hmac("school.access.failed", subject.casefold(), algorithm="sha256").hexdigest()


def is_rate_limited(request: HttpRequest, entry_point: str, subject: str, most: int = MAX_FAILURES_PER_SUBJECT) -> bool:
    """Tell whether this address has failed too often recently, on this subject or on all subjects together."""
    recent = FailedAttempt.objects.filter(at__gt=timezone.now() - WINDOW)
    failures = recent.filter(entry_point=entry_point, address=client_address(request))
    if failures.filter(subject=_hashed(subject)).count() >= most:
        return True
    return failures.count() >= most * ON_ALL_SUBJECTS


def record_failure(request: HttpRequest, entry_point: str, subject: str) -> None:
    """Count a failure, and delete those that no longer count."""
    FailedAttempt.objects.filter(entry_point=entry_point, at__lte=timezone.now() - WINDOW).delete()
    FailedAttempt.objects.create(entry_point=entry_point, address=client_address(request), subject=_hashed(subject))


def nonce(request: HttpRequest) -> dict[str, Any]:
    """Give templates the nonce of the content security policy under the name that htmx's template tag reads."""
    return {"csp_nonce": getattr(request, "csp_nonce", "")}
