"""Every address of the site, filled in with rows: what walks them all meets a new page without being told of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver, reverse

from casting.forms.set_up import SHORT_LISTS
from casting.presenters.shelf_page import KINDS
from school.models import School


def routes(patterns: Iterable[URLPattern | URLResolver], skip: Iterable[str] = ("keeper/",)) -> Iterator[Any]:
    """The named addresses of the site but the administrator's, each with the names of its arguments."""
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            if str(pattern.pattern) not in skip:
                yield from routes(pattern.url_patterns)
        elif pattern.name:
            yield pattern.name, sorted(pattern.pattern.converters.keys() - pattern.default_args.keys())


ROUTES: list[tuple[str, tuple[str, ...]]] = sorted(
    {(name, tuple(given)) for name, given in routes(get_resolver().url_patterns)}
)


def addresses(name: str, given: Iterable[str], rows: Mapping[str, Any], school: School | None) -> list[str]:
    """The addresses of a name with these rows: one of each kind of thing on the shelf; none if a row is missing."""
    asked: list[dict[str, Any]] = [{key: rows[key] for key in given if key in rows}]
    if "kind" in given:
        asked = [one | {"kind": kind} for one in asked for kind in KINDS]
    if "step" in given:
        asked = [one | {"step": step} for one in asked for step in SHORT_LISTS]
    if "row_id" in given and school is not None:
        asked = [one | {"row_id": first_of(one["kind"], school)} for one in asked]
    return [reverse(name, kwargs=one) for one in asked if set(one) == set(given)]


def first_of(kind: str, school: School) -> int:
    """The first thing of that kind on the school's shelf."""
    return int(KINDS[kind].model._default_manager.filter(school=school).order_by("pk").values_list("pk", flat=True)[0])
