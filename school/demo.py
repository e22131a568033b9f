"""One-time links that sign a newcomer in to a demo school, on this machine only."""

from __future__ import annotations

import datetime as dt
import hashlib
import secrets

from django.contrib.auth import login
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from school.access import SchoolRequest, is_loopback, log_in_student
from school.models import DemoLink, Person, School, Student

LIFETIME = dt.timedelta(hours=12)
TOKEN_BYTES = 16


def issue_link(visitor: Person | Student, page: str) -> str:
    """Return the token of a new link that signs in as that visitor and leads to that page.

    Raises `ValueError` unless the visitor belongs to a demo school: nobody gets into a real school this way.
    """
    if visitor.school is None or not visitor.school.is_demo:
        raise ValueError(f"{visitor} belongs to no demo school.")
    token = secrets.token_urlsafe(TOKEN_BYTES)
    DemoLink.objects.create(
        token_hash=_hash(token),
        person=visitor if isinstance(visitor, Person) else None,
        student=visitor if isinstance(visitor, Student) else None,
        page=page,
        expires=timezone.now() + LIFETIME,
    )
    return token


def void_links(school: School) -> None:
    """Delete every link to the school, used or not."""
    DemoLink.objects.filter(person__school=school).delete()
    DemoLink.objects.filter(student__school=school).delete()


def find_link(token: str) -> DemoLink | None:
    """Return the link of that token if it is unused, has not expired and leads to a demo school."""
    current = DemoLink.objects.filter(token_hash=_hash(token), expires__gt=timezone.now())
    link = current.select_related("person__school", "student__school", "student__course").first()
    return link if link is not None and link.visitor.school is not None and link.visitor.school.is_demo else None


def use_up(link: DemoLink) -> bool:
    """Delete the link and tell whether it was still there: of two browsers at once, one gets in."""
    deleted, _per_model = DemoLink.objects.filter(pk=link.pk).delete()
    return deleted == 1


def _hash(token: str) -> str:
    # 128 random bits need neither salt nor a slow hash.
    return hashlib.sha256(token.encode()).hexdigest()


@csrf_exempt  # the token is itself a secret that no other site knows; signing in on one tab must not spoil the next
@never_cache
@sensitive_post_parameters("token")
@require_http_methods(["GET", "HEAD", "POST"])
def open_demo(request: SchoolRequest) -> HttpResponse:
    """Show whom the link signs in; its button, and not the visit, uses the link up.

    A browser that loads pages ahead or a chat that previews them only visits. The token travels in the query and in
    the form, because a log of refused requests names the path.
    """
    if not is_loopback(request):
        raise Http404
    link = find_link((request.POST if request.method == "POST" else request.GET).get("token", ""))
    if link is None or (request.method == "POST" and not use_up(link)):
        return TemplateResponse(request, "school/demo_used.html", status=404)
    if request.method != "POST":
        return TemplateResponse(request, "school/demo.html", {"link": link, "token": request.GET["token"]})
    _log_in(request, link.visitor)
    return redirect(link.page)


def _log_in(request: SchoolRequest, visitor: Person | Student) -> None:
    if isinstance(visitor, Student):
        log_in_student(request, visitor)
    elif request.person != visitor:  # a second login would spoil the forms of the teacher's other pages
        request.session.flush()
        login(request, visitor)
