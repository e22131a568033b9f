"""Validation of plain values: readers of numbers, texts, lists and objects, and the sentences of their refusals."""

from __future__ import annotations

import json
import math
import re
import unicodedata
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from difflib import get_close_matches
from itertools import pairwise
from typing import Any, TypeVar

from casting.calc.values.errors import Refused, marked
from casting.calc.values.sentence import Figure, Sentence, and_again, plain, say, words

T = TypeVar("T")

Reader = Callable[[object, str], T]
"""Turns the value at a place into one of ours, or raises `Refused`."""

PLAIN_KEY = re.compile(r"[A-Za-z0-9_][A-Za-z0-9_ -]{0,59}")
TEXT_MAX = CHOICES_SHOWN = 200
CORRECT = words("correct it")
NO_QUOTES = words("give a plain number without quotes")
FAR_OVER = 1.25
"""A temperature so many times its limit is likelier in Fahrenheit than a little too hot."""
UNPRINTABLE = {"Cc", "Cs", "Zl", "Zp"}


def shown(value: object) -> str:
    """Return a value as written in the file, on one line, truncated if it is long."""
    if isinstance(value, dict):
        return "an object"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    text = json.dumps(value, default=str)
    return text if len(text) <= 60 else text[:57] + "..."


def step_in(place: str, key: str) -> str:
    """Return the place of a key inside a place; a key that is no plain word is quoted."""
    name = key if PLAIN_KEY.fullmatch(key) else shown(key)
    return f"{place}.{name}" if place else name


UNIT_AT = re.compile(
    r"(?:_(c_per_h|mm|c|(?<!_per_)g)|(_by_diameter)\[\d+\]\[0\]|_(g)_by_diameter\[\d+\]\[1\])(?:\.\w+)?(?:\[\d+\])*$"
)
"""A place whose figures a school may read in another unit."""
IN_MM, IN_C = marked("mm", "", "mm"), marked("c", "", "C")
"""The units themselves, for what a refusal asks for."""


def unit_at(place: str) -> str:
    """Return the unit of figures at a place, if a school reads them in its own: `mm`, `c`, `c_per_h`, `g`."""
    found = UNIT_AT.search(place)
    return "" if found is None else found[1] or found[3] or "mm"


def figure(value: float, unit: str) -> Figure:
    """Return a number for a refusal's sentence without its unit, marked if a school may read it in another one."""
    return marked(unit, value, f"{value:g}") if unit else value


def millimetres(length_mm: float) -> str:
    """Return a length for a refusal's sentence."""
    return marked("mm", length_mm, f"{length_mm:g} mm")


def celsius(heat_c: float) -> str:
    """Return a temperature for a refusal's sentence."""
    return marked("c", heat_c, f"{heat_c:g} C")


def said(plain: str, to_people: str) -> str:
    """Return words of a refusal's sentence that people at a page read otherwise than those who write a file."""
    return marked("said", to_people, plain)


def key_named(key: str) -> str:
    """Return the key of a figure for a refusal's sentence; people read what the figure is."""
    return marked("key", key, key)


def refusal(place: str, value: object, wrong: str, mend: str) -> Refused:
    """Return the one-line refusal: what stands there, what is wrong, what to do.

    `wrong` and `mend` are sentences, or text without figures.
    """
    unit, given = unit_at(place), shown(value)
    if unit and isinstance(value, int | float) and not isinstance(value, bool):
        given = marked(unit, value, given)
    elif isinstance(value, list | dict):
        given = said(given, "this")
    sentence = say("{given} stands here, but {wrong}; {mend}.", given=given, wrong=plain(wrong), mend=plain(mend))
    return Refused(place or "file", sentence)


def too_hot(place: str, given_c: float, most_c: float, what: str, mend: str) -> Refused:
    """Return the refusal of a temperature over a limit; it asks whether Fahrenheit was meant, where that may be."""
    meant_c = (given_c - 32) / 1.8
    slip = given_c > FAR_OVER * most_c and meant_c <= most_c
    given, most = celsius(given_c), celsius(most_c)
    if slip:  # who reads Fahrenheit is not asked
        asked = marked("slip", f"{given_c:g} {meant_c:.0f}", f"Did you mean {given_c:g} F, which is {meant_c:.0f} C?")
    else:
        asked = say("{mend}.", mend=plain(mend))
    words = "{given} is too hot for {what} ({most}). {asked}"
    return Refused(place, say(words, given=given, what=plain(what), most=most, asked=asked))


class Refusals(Refused):
    """Several refusals of one value; place and sentence are those of the first."""

    def __init__(self, refusals: list[Refused]) -> None:
        self.refusals = refusals
        super().__init__(refusals[0].place, refusals[0].marked)


def refusals_of(error: Refused) -> list[Refused]:
    """Return the single refusals of an error, in order."""
    return error.refusals if isinstance(error, Refusals) else [error]


def read_each(reads: Iterable[tuple[Reader[T], object, str]], refusals: Iterable[Refused] = ()) -> list[T]:
    """Return what each reader makes of the value at its place.

    Parameters
    ----------
    reads : iterable of (reader, value, place)
        What to read, in the order of the file.
    refusals : iterable of Refused
        Refusals found before reading.

    Raises
    ------
    Refusals
        If there is any refusal: all of them, `refusals` first.
    """
    read, refused = [], list(refusals)
    for reader, value, place in reads:
        try:
            read.append(reader(value, place))
        except Refused as error:
            refused += refusals_of(error)
    if refused:
        raise Refusals(refused)
    return read


def check_text(value: object, place: str, blank: bool = False) -> str:
    """Return a value that must be a line of text."""
    if not isinstance(value, str):
        raise refusal(place, value, "it must be text", "put it in quotes")
    if not blank and not value.strip():
        raise refusal(place, value, "it must not be blank", "fill it in")
    if len(value) > TEXT_MAX:
        raise refusal(place, value, say("it must be at most {most} characters long", most=TEXT_MAX), "shorten it")
    if any(unicodedata.category(sign) in UNPRINTABLE for sign in value):
        raise refusal(place, value, "it holds a sign that cannot be printed", "type it again")
    return value


def bounds_in_words(over: float | None, least: float | None, most: float | None, unit: str = "") -> Figure:
    """Return the range of a number as words; its figures are marked with a unit that a school may read otherwise."""
    parts = []
    if over is not None:
        parts.append(say("more than {bound}", bound=figure(over, unit)))
    if least is not None:
        parts.append(say("at least {bound}", bound=figure(least, unit)))
    if most is not None:
        parts.append(say("at most {bound}", bound=figure(most, unit)))
    return and_again(parts) if parts else say("a number")


def number(
    *, over: float | None = None, least: float | None = None, most: float | None = None, mend: str = CORRECT
) -> Reader[float]:
    """Return a reader of finite numbers in a range; `least` and `most` themselves are allowed."""

    def refused(value: object, place: str, wrong: str, mend: str) -> Refused:
        # Put into words only where a number is refused: a day file has hundreds that are not.
        return refusal(place, value, say(wrong, bounds=bounds_in_words(over, least, most, unit_at(place))), mend)

    def read(value: object, place: str) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise refused(value, place, words("it must be a number, {bounds}"), NO_QUOTES)
        if not math.isfinite(value):
            raise refused(value, place, words("it must be a finite number, {bounds}"), mend)
        if (
            (over is not None and value <= over)
            or (least is not None and value < least)
            or (most is not None and value > most)
        ):
            raise refused(value, place, words("it must be {bounds}"), mend)
        return float(value)

    return read


def whole(*, least: int, most: int) -> Reader[int]:
    """Return a reader of whole numbers in a range."""
    in_range = number(least=least, most=most)

    def read(value: object, place: str) -> int:
        figure = in_range(value, place)
        if not figure.is_integer():
            raise refusal(place, value, "it must be a whole number", "round it")
        return int(figure)

    return read


def choice(choices: Sequence[T]) -> Reader[T]:
    """Return a reader of one of some words."""

    def read(value: object, place: str) -> T:
        if isinstance(value, str) and value in choices:
            return choices[choices.index(value)]
        raise refusal(place, value, "it is not known here", one_of(map(str, choices)))

    return read


def one_of(choices: Iterable[str]) -> Sentence:
    """Return what to do where only some words are known."""
    return say("take one of: {choices}", choices=", ".join(choices)[:CHOICES_SHOWN])


def yes_or_no(value: object, place: str) -> bool:
    """Return a value that must be true or false."""
    if not isinstance(value, bool):
        raise refusal(place, value, "it must be true or false", "write true or false without quotes")
    return value


def nullable(reader: Reader[T]) -> Reader[T | None]:
    """Return a reader that takes null for "not recorded"."""
    return lambda value, place: None if value is None else reader(value, place)


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


def table(what: str, most: float) -> Reader[tuple[tuple[float, float], ...]]:
    """Return a reader of rows of (diameter, value) that ascend: each row's diameter larger, no value smaller."""
    diameter_mm, amount = number(over=0, most=1000), number(least=0, most=most)

    def read_row(row: object, place: str) -> tuple[float, float]:
        pair = check_list(row, place)
        if len(pair) != 2:
            wrong = say("a row is a diameter in mm and {what}", what=plain(what))
            raise refusal(place, row, wrong, "give the two numbers")
        return diameter_mm(pair[0], f"{place}[0]"), amount(pair[1], f"{place}[1]")

    def read(value: object, place: str) -> tuple[tuple[float, float], ...]:
        rows = read_items(value, place, read_row)
        for nth, (before, row) in enumerate(pairwise(rows), 1):
            if row[0] <= before[0] or row[1] < before[1]:
                wrong = say(
                    "the table must ascend and the row before is [{diameter}, {amount}]",
                    diameter=figure(before[0], "mm"),
                    amount=figure(before[1], unit_at(f"{place}[0][1]")),
                )
                mend = "order the rows by diameter and look at the figures"
                raise refusal(f"{place}[{nth}]", check_list(value, place)[nth], wrong, mend)
        if not rows:
            raise refusal(place, value, "the table has no row", "give at least one")
        return rows

    return read


def read_fields(
    value: object, place: str, readers: Mapping[str, Reader[Any]], optional: Collection[str] = ()
) -> dict[str, Any]:
    """Return the fields of an object by their keys; `optional` ones may be absent, other keys are refused.

    Parameters
    ----------
    value : object
        What should be an object.
    place : str
        Its place in the file.
    readers : mapping of str to reader
        A reader for each key.
    optional : collection of str
        Keys that may be absent; they are then absent from the result.

    Raises
    ------
    Refusals
        If any key is unknown or missing, or any value is refused: all of them.
    """
    values = check_object(value, place)
    wrong = [_unknown(key, step_in(place, key), readers) for key in values if key not in readers]
    wrong += [
        Refused(step_in(place, key), "nothing stands here, but it is required; fill it in.")
        for key in readers
        if key not in values and key not in optional
    ]
    present = [key for key in readers if key in values]
    read = read_each(((readers[key], values[key], step_in(place, key)) for key in present), wrong)
    return dict(zip(present, read, strict=True))


def _unknown(key: str, place: str, known: Iterable[str]) -> Refused:
    near = get_close_matches(key, known, n=1)
    mend = say("did you mean {key}", key=near[0]) if near else plain("take it out")
    return Refused(place, say("{key} stands here, but no such key is known; {mend}.", key=shown(key), mend=mend))


def read_from_memory(value: object, place: str, readers: Mapping[str, Reader[Any]]) -> frozenset[str]:
    """Return the names of an object's figures that are from memory: keys of it, or parts as in `flask_c.thin`."""
    names = [check_text(raw, f"{place}[{nth}]") for nth, raw in enumerate(check_list(value, place))]
    for nth, name in enumerate(names):
        if name.partition(".")[0] not in readers.keys() - {"key", "name", "from_memory"}:
            raise refusal(f"{place}[{nth}]", name, "no such figure is known", "write its key, as in pour_c")
    return frozenset(names)


def read_items(value: object, place: str, read_one: Reader[T]) -> tuple[T, ...]:
    """Return the items of a list."""
    return tuple(read_each((read_one, raw, f"{place}[{nth}]") for nth, raw in enumerate(check_list(value, place))))


def read_list(value: object, place: str, read_one: Reader[T]) -> tuple[T, ...]:
    """Return the items of a list, each with a `key`; two equal keys are refused."""
    seen: dict[str, int] = {}
    items = read_items(value, place, read_one)
    for nth, item in enumerate(items):
        key = str(getattr(item, "key"))  # noqa: B009 - every item of a day file has one
        if key in seen:
            wrong = say("{place} has the same key", place=f"{place}[{seen[key]}]")
            raise refusal(f"{place}[{nth}].key", key, wrong, "rename one of them")
        seen[key] = nth
    return items
