"""The example of `casting/PLAN_FILE.md` as a day to change, one value at a time."""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path
from typing import Any

PAGE = Path(__file__).parents[2] / "casting" / "PLAN_FILE.md"
GONE = object()
"""Put in the place of a value: takes the key out."""
WAX = {
    "key": "w1",
    "alloy": "sterling",
    "pattern": "carving-wax",
    "wax_g": 1,
    "width_mm": 20,
    "depth_mm": 5,
    "height_mm": 30,
    "section": "thin",
}
"""A wax with the keys that it must have, no more."""


@cache
def _example_text() -> str:
    found = re.search(r"## Day file\n```json\n(.*?)```", PAGE.read_text("utf-8"), re.DOTALL)
    assert found
    return found[1]


def example() -> dict[str, Any]:
    """The day file of the page, to be changed at will."""
    day: dict[str, Any] = json.loads(_example_text())
    return day


def steps_of(place: str) -> list[str | int]:
    """`waxes[0].wax_g` as the keys and numbers that lead there."""
    return [int(nth) if nth else key for key, nth in re.findall(r"([^.\[\]]+)(?![^\[]*\])|\[(\d+)\]", place)]


def put(day: dict[str, Any], place: str, value: object) -> dict[str, Any]:
    """The day with the value put in a place (or taken out: `GONE`)."""
    *way, last = steps_of(place)
    inner: Any = day
    for step in way:
        inner = inner[step]
    if value is GONE:
        del inner[last]
    elif isinstance(inner, list) and last == len(inner):
        inner.append(value)
    else:
        inner[last] = value
    return day


def changed(*changes: tuple[str, object]) -> str:
    """The text of the example with each (place, value) put in."""
    day = example()
    for place, value in changes:
        put(day, place, value)
    return json.dumps(day)


def bare(**more: object) -> str:
    """The text of a day that leaves everything to the shelf but what it must say."""
    day = {"format": "casting-day/1", "timezone": "America/Denver", "pour_at": "2027-03-14T10:00", "waxes": []}
    return json.dumps({**day, **more})
