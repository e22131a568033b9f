"""Where a saved page goes on: to the page of ours that it was opened from."""

from __future__ import annotations

from django.http import HttpRequest
from django.utils.http import url_has_allowed_host_and_scheme


def onward(request: HttpRequest, otherwise: str) -> str:
    """Return the `next` of the page's address if it is a path of our own, else `otherwise`, a path or a page's name."""
    asked = request.GET.get("next", "")
    # A path alone: another host, and ours by another scheme, are somebody else's link.
    own = asked.startswith("/") and url_has_allowed_host_and_scheme(asked, allowed_hosts=None)
    return asked if own else otherwise


def way_back(request: HttpRequest) -> dict[str, str]:
    """Give every page the own path that it was opened from, if its address names one: lists link back to it."""
    return {"way_back": onward(request, "")}
