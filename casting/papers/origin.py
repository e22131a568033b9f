"""Where this school's pages stand on the network, for the codes and addresses that a paper carries."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from django.conf import settings

_origin: ContextVar[str] = ContextVar("origin", default="")


@contextmanager
def printed_from(origin: str) -> Iterator[None]:
    """Within it, papers name addresses under this origin: `https://bench.example.org`."""
    before = _origin.set(origin.rstrip("/"))
    try:
        yield
    finally:
        _origin.reset(before)


def address_of(path: str) -> str:
    """Return the whole address of a page: under the origin of the one who prints, else the first host we answer to."""
    return (_origin.get() or _first_host()) + path


def _first_host() -> str:
    host = settings.ALLOWED_HOSTS[0].lstrip(".*") if settings.ALLOWED_HOSTS else ""
    return f"{'https' if settings.HTTPS else 'http'}://{host or 'localhost'}"
