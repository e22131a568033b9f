"""Too many write at once: a page that says so, and when to try again, instead of a fault of ours."""

from __future__ import annotations

import sys
from collections.abc import Callable

from django.db import OperationalError, connection
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.template.loader import render_to_string
from django.views import defaults

RETRY_S = 5


class BusyDatabaseMiddleware:
    """Middleware that answers 503 where the database had no turn for this request; phones send it again themselves."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        return self.get_response(request)

    def process_exception(self, _request: HttpRequest, fault: Exception) -> HttpResponse | None:
        """Return the page for a database that is busy; any other fault goes on."""
        return _page() if _passes(fault) else None


def server_error(request: HttpRequest) -> HttpResponse:
    """Answer a fault that no view made, such as a session that could not be written: 503 if the database is busy."""
    return _page() if _passes(sys.exc_info()[1]) else defaults.server_error(request)


def _page() -> HttpResponse:
    return HttpResponse(render_to_string("503.html"), status=503, headers={"Retry-After": str(RETRY_S)})


def _passes(fault: BaseException | None) -> bool:
    """Tell whether this may go better in a moment: PostgreSQL's own are lost connections, locks and too many of either.

    SQLite uses the same class for a table that is not there.
    """
    if not isinstance(fault, OperationalError):
        return False
    return connection.vendor != "sqlite" or "locked" in str(fault)
