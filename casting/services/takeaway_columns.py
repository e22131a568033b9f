"""Reads the columns of a take-away file's rows: each of its own type, in its bounds, and one of its choices."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Callable, Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

from casting.calc.values.errors import Refused
from casting.dayfile.validation import Reader, check_list, check_object, refusal
from casting.models.account import SMALLEST, ExactField
from casting.selectors.takeaway import Column

JSON_LISTS = {"quench_min_by_diameter", "water_c", "kinds", "segments", "sizes_used", "kilns_used", "set_up_steps"}
"""Columns of JSON that are lists; the others are objects."""


def reader_of(column: Column) -> Reader[Any]:
    """Return the reader of a column that names no other row; null is read where the column may be null."""
    convert, words = next(found for kind, found in TYPES.items() if isinstance(column, kind))

    def read(value: object, place: str) -> Any:
        if value is None and column.null:
            return None
        if isinstance(column, models.JSONField):
            read_json: Reader[Any] = check_list if column.name in JSON_LISTS else check_object
            found = read_json(value, place)
        else:
            found = _converted(convert, words, value, place)
        return _checked(column, found, value, place)

    return read


def _converted(convert: Callable[[Any], Any], words: str, value: object, place: str) -> Any:
    try:
        return convert(value)
    except (TypeError, ValueError, InvalidOperation, OverflowError):
        raise refusal(place, value, f"it must be {words}", "mend it") from None


def _checked(column: Column, found: Any, value: object, place: str) -> Any:
    """The value, if it is one of the choices and in the bounds of its column."""
    if found == "":
        if column.blank:
            return found
        raise refusal(place, value, "it must not be blank", "fill it in")
    if column.choices and found not in {key for key, _words in column.flatchoices}:
        words = ", ".join(str(key) for key, _words in column.flatchoices)
        raise refusal(place, value, "it is not known here", f"take one of: {words}")
    try:
        column.run_validators(found)
    except ValidationError as error:
        raise Refused(place, error.messages[0]) from None
    return found


def row_named(numbers: Mapping[int, int], *, null: bool) -> Reader[int | None]:
    """Return the reader of the number of a row; `numbers` are those of its kind, and what each is here."""

    def read(value: object, place: str) -> int | None:
        if value is None and null:
            return None
        if isinstance(value, bool) or not isinstance(value, int) or value not in numbers:
            raise refusal(place, value, "no row of the file has this id", "mend it")
        return numbers[value]

    return read


def rows_named(numbers: Mapping[int, int]) -> Reader[list[int]]:
    """Return the reader of a list of such numbers."""
    read_one = row_named(numbers, null=False)

    def read(value: object, place: str) -> list[int]:
        found = [read_one(one, f"{place}[{nth}]") for nth, one in enumerate(check_list(value, place))]
        return [one for one in found if one is not None]

    return read


def _instance(*kinds: type) -> Callable[[Any], Any]:
    """A converter of values that are of a type already; true and false are no numbers."""

    def convert(value: Any) -> Any:
        if not isinstance(value, kinds) or (isinstance(value, bool) and bool not in kinds):
            raise TypeError
        return value

    return convert


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError
    return value


def _moment(value: Any) -> dt.datetime:
    moment = dt.datetime.fromisoformat(_text(value))
    if moment.tzinfo is None:
        raise ValueError
    return moment.astimezone(dt.UTC)


def _decimal(value: Any) -> Decimal:
    found = Decimal(_text(value))
    if not found.is_finite():
        raise ValueError
    return found


def _exact(value: Any) -> Decimal:
    found = _decimal(value)
    if found != found.quantize(SMALLEST):
        raise ValueError
    return found


TYPES: Mapping[type, tuple[Callable[[Any], Any], str]] = {
    models.BooleanField: (_instance(bool), "true or false"),
    models.DateTimeField: (_moment, "a moment such as 2027-03-10T19:05:00+00:00"),
    models.DateField: (lambda value: dt.date.fromisoformat(_text(value)), "a date such as 2027-03-10"),
    models.TimeField: (lambda value: dt.time.fromisoformat(_text(value)), "a time such as 18:30:00"),
    models.DecimalField: (_decimal, "a number in quotes"),
    ExactField: (_exact, "a number in quotes, of four places at most"),
    models.UUIDField: (lambda value: uuid.UUID(_text(value)), "a key of 32 digits and letters"),
    models.FloatField: (lambda value: float(_instance(int, float)(value)), "a number without quotes"),
    models.IntegerField: (_instance(int), "a whole number without quotes"),
    models.JSONField: (_instance(dict, list), "an object or a list"),
    models.Field: (_text, "text"),
}
"""By the kind of a column, the first that fits: what reads its value, and what it must be."""
