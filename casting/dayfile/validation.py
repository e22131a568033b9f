"""The keys of one object of a day file, each checked as it is taken."""

from __future__ import annotations

import json
import math
import re
import unicodedata
from collections.abc import Callable, Iterator, Sequence
from difflib import get_close_matches
from typing import TypeVar

from casting.calc.values.errors import Refused

T = TypeVar("T")

PLAIN_KEY = re.compile(r"[A-Za-z0-9_][A-Za-z0-9_ -]{0,59}")
TEXT_MAX = 200
UNPRINTABLE = {"Cc", "Cs", "Zl", "Zp"}


def shown(value: object) -> str:
    """Return a value as it stands in the file, on one line, cut short if it is long."""
    if isinstance(value, dict):
        return "an object"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    text = json.dumps(value)
    return text if len(text) <= 60 else text[:57] + "..."


def step_in(place: str, key: str) -> str:
    """Return the place of a key inside a place; a key that is no plain word is quoted."""
    name = key if PLAIN_KEY.fullmatch(key) else shown(key)
    return f"{place}.{name}" if place else name


def refusal(place: str, value: object, wrong: str, mend: str) -> Refused:
    """Return the one-line refusal: what stands there, what is wrong, what to do."""
    return Refused(place or "file", f"{shown(value)} stands here, but {wrong}; {mend}.")


def check_text(value: object, place: str, blank: bool = False) -> str:
    """Return a value that must be a line of text."""
    if not isinstance(value, str):
        raise refusal(place, value, "it must be text", "put it in quotes")
    if not blank and not value.strip():
        raise refusal(place, value, "it must not be blank", "fill it in")
    if len(value) > TEXT_MAX:
        raise refusal(place, value, f"it must be at most {TEXT_MAX} characters long", "shorten it")
    if any(unicodedata.category(sign) in UNPRINTABLE for sign in value):
        raise refusal(place, value, "it holds a sign that cannot be printed", "type it again")
    return value


def bounds_in_words(over: float | None, least: float | None, most: float | None) -> str:
    """Return the range of a number as words."""
    parts = []
    if over is not None:
        parts.append(f"more than {over:g}")
    if least is not None:
        parts.append(f"at least {least:g}")
    if most is not None:
        parts.append(f"at most {most:g}")
    return " and ".join(parts) or "a number"


def check_number(
    value: object,
    place: str,
    *,
    over: float | None = None,
    least: float | None = None,
    most: float | None = None,
    mend: str = "correct it",
) -> float:
    """Return a value that must be a finite number in a range; the ends of the range are allowed."""
    words = bounds_in_words(over, least, most)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise refusal(place, value, f"it must be a number, {words}", "give a plain number without quotes")
    if not math.isfinite(value):
        raise refusal(place, value, f"it must be a finite number, {words}", mend)
    if (
        (over is not None and value <= over)
        or (least is not None and value < least)
        or (most is not None and value > most)
    ):
        raise refusal(place, value, f"it must be {words}", mend)
    return float(value)


def check_whole(value: object, place: str, *, least: int, most: int) -> int:
    """Return a value that must be a whole number in a range."""
    number = check_number(value, place, least=least, most=most)
    if number != int(number):
        raise refusal(place, value, "it must be a whole number", "round it")
    return int(number)


def check_object(value: object, place: str) -> dict[str, object]:
    """Return a value that must be an object."""
    if not isinstance(value, dict):
        raise refusal(place, value, "it must be an object", "write it between { and }")
    return value


def check_list(value: object, place: str) -> list[object]:
    """Return a value that must be a list."""
    if not isinstance(value, list):
        raise refusal(place, value, "it must be a list", "write it between [ and ]")
    return value


def check_table(value: object, place: str, what: str, most: float) -> tuple[tuple[float, float], ...]:
    """Return rows of (diameter, value) that ascend: each row's diameter larger, no value smaller."""
    rows: list[tuple[float, float]] = []
    for nth, row in enumerate(check_list(value, place)):
        here = f"{place}[{nth}]"
        pair = check_list(row, here)
        if len(pair) != 2:
            raise refusal(here, row, f"a row is a diameter in mm and {what}", "give the two numbers")
        diameter = check_number(pair[0], f"{here}[0]", over=0, most=1000)
        figure = check_number(pair[1], f"{here}[1]", least=0, most=most)
        if rows and (diameter <= rows[-1][0] or figure < rows[-1][1]):
            raise refusal(
                here,
                row,
                f"the table must ascend and the row before is [{rows[-1][0]:g}, {rows[-1][1]:g}]",
                "order the rows by diameter and look at the figures",
            )
        rows.append((diameter, figure))
    if not rows:
        raise refusal(place, value, "the table has no row", "give at least one")
    return tuple(rows)


class Fields:
    """The keys of one object: `known` ones may be taken, any other is refused at once."""

    def __init__(self, value: object, place: str, known: Sequence[str]) -> None:
        self.place = place
        self.values = check_object(value, place)
        for key in self.values:
            if key not in known:
                near = get_close_matches(key, known, n=1)
                mend = f"did you mean {near[0]}" if near else "take it out"
                raise Refused(self.at(key), f"{shown(key)} stands here, but no such key is known; {mend}.")

    def at(self, key: str) -> str:
        """Return the place of a key."""
        return step_in(self.place, key)

    def has(self, key: str) -> bool:
        """Tell whether a key is there and not null."""
        return self.values.get(key) is not None

    def take(self, key: str) -> object:
        """Return the value of a key that must be there."""
        if key not in self.values:
            raise Refused(self.at(key), "nothing stands here, but it is required; fill it in.")
        return self.values[key]

    def number(
        self,
        key: str,
        *,
        over: float | None = None,
        least: float | None = None,
        most: float | None = None,
        default: float | None = None,
        mend: str = "correct it",
    ) -> float:
        """Return a number; the default where the key is absent."""
        if default is not None and key not in self.values:
            return default
        return check_number(self.take(key), self.at(key), over=over, least=least, most=most, mend=mend)

    def whole(self, key: str, *, least: int, most: int, default: int | None = None) -> int:
        """Return a whole number; the default where the key is absent."""
        if default is not None and key not in self.values:
            return default
        return check_whole(self.take(key), self.at(key), least=least, most=most)

    def text(self, key: str, *, default: str | None = None, blank: bool = False) -> str:
        """Return a line of text; the default where the key is absent."""
        if default is not None and key not in self.values:
            return default
        return check_text(self.take(key), self.at(key), blank)

    def choice(self, key: str, choices: Sequence[T], default: T | None = None) -> T:
        """Return one of some words; the default where the key is absent."""
        if default is not None and key not in self.values:
            return default
        value = self.take(key)
        for choice in choices:
            if isinstance(value, str) and value == choice:
                return choice
        words = ", ".join(str(choice) for choice in choices)
        raise refusal(self.at(key), value, "it is not known here", f"take one of: {words}")

    def items(self, key: str) -> Iterator[tuple[str, object]]:
        """Yield the place and value of each item of a list."""
        for nth, value in enumerate(check_list(self.take(key), self.at(key))):
            yield f"{self.at(key)}[{nth}]", value


def read_list(value: object, place: str, read_one: Callable[[object, str], T]) -> tuple[T, ...]:
    """Return the items of a list, each with a `key`; two equal keys are refused."""
    seen: dict[str, int] = {}
    items: list[T] = []
    for nth, raw in enumerate(check_list(value, place)):
        item = read_one(raw, f"{place}[{nth}]")
        key = str(getattr(item, "key"))  # noqa: B009 - every item of a day file has one
        if key in seen:
            raise refusal(f"{place}[{nth}].key", key, f"{place}[{seen[key]}] has the same key", "rename one of them")
        seen[key] = nth
        items.append(item)
    return tuple(items)
