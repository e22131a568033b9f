"""The language of a page: what a browser asks for where the page is translated whole, else English."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponseBase
from django.middleware.locale import LocaleMiddleware
from django.utils.translation import activate

TRANSLATED = "school.views"
"""The module whose pages are translated whole: the way in, and the people of a school."""


class PageLanguage(LocaleMiddleware):
    """Middleware that gives nobody half a page in one language and half in another."""

    def process_view(
        self, request: HttpRequest, view: Callable[..., HttpResponseBase], _args: Any, _kwargs: Any
    ) -> None:
        """Serve a page that is not translated whole in English, whatever the browser asks for."""
        if view.__module__ != TRANSLATED:
            activate(settings.LANGUAGE_CODE)
            request.LANGUAGE_CODE = settings.LANGUAGE_CODE
