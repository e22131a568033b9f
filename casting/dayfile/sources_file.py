"""Where the figures of `fixtures/shelf.json` come from, and what a page says in place of a supplier's name."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from functools import cache
from typing import Any

from casting.dayfile.shelf_file import FIXTURES

LIBRARIES = {"mendeleev": "a library of the elements", "periodictable": "another", "; in chemicals": ""}
LIBRARY = re.compile(r"(mendeleev|periodictable|; in chemicals) [\d.]+")
"""Programs that figures of the elements were read from; a page has no use for their names."""


@cache
def origins() -> Mapping[str, Mapping[str, str]]:
    """Return the source and status of each figure of the shelf file, by its place in it: `rules.wall_mm`."""
    found: dict[str, Mapping[str, str]] = _read("shelf.json")["sources"]
    return found


@cache
def material_rows() -> tuple[Mapping[str, Any], ...]:
    """Return what is known of pattern materials that the shelf does not stock, each with its source and status."""
    return tuple(_read("shelf.json")["materials"])


@cache
def element_rows() -> tuple[Mapping[str, Any], ...]:
    """Return the elements with what is known of each; `heat_source` and `heat_status` are those of its heats."""
    return tuple(_read("elements.json")["elements"])


@cache
def _told_as() -> Mapping[str, str]:
    found: dict[str, str] = _read("told_as.json")["told_as"]
    return found


def told_as(source: str) -> str:
    """Return what a page says of a source: the same, unless it names a supplier or a file of ours."""
    plain = LIBRARY.sub(lambda found: LIBRARIES[found[1]], source)
    return _told_as().get(source, plain)


def _read(name: str) -> dict[str, Any]:
    file: dict[str, Any] = json.loads((FIXTURES / name).read_text("utf-8"))
    return file
