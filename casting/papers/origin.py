"""The address of this school's pages on the network, for the codes and addresses that a paper carries."""

from __future__ import annotations

from django.conf import settings


def address_of(path: str, origin: str = "") -> str:
    """Return the whole address of a page under an origin (`https://bench.example.org`); without one, our first host."""
    return (origin.rstrip("/") or _first_host()) + path


def _first_host() -> str:
    host = settings.ALLOWED_HOSTS[0].lstrip(".*") if settings.ALLOWED_HOSTS else ""
    return f"{'https' if settings.HTTPS else 'http'}://{host or 'localhost'}"
