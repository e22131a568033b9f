"""The language of a page: the person's own, else the browser's, if the page is translated whole; otherwise English."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponseBase
from django.middleware.locale import LocaleMiddleware
from django.utils.translation import activate

from school.access import SchoolRequest

TRANSLATED_VIEWS = ("school.views.", "school.demo", "casting.views.")
"""The modules whose pages are translated whole begin like this; the administration is not."""


class PageLanguageMiddleware(LocaleMiddleware):
    """Middleware that never serves a page half in one language and half in another."""

    def process_view(
        self, request: HttpRequest, view: Callable[..., HttpResponseBase], _args: Any, _kwargs: Any
    ) -> None:
        """Serve every page outside `TRANSLATED_VIEWS` in English."""
        if not view.__module__.startswith(TRANSLATED_VIEWS):
            activate(settings.LANGUAGE_CODE)
            request.LANGUAGE_CODE = settings.LANGUAGE_CODE


class PersonLanguageMiddleware:
    """Middleware that speaks to a teacher or helper in the language that they have chosen; it comes after identity."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: SchoolRequest) -> HttpResponseBase:
        if request.person and request.person.language:
            activate(request.person.language)
            request.LANGUAGE_CODE = request.person.language
        return self.get_response(request)
