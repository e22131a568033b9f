"""Strict parsing of JSON text: duplicate keys and bottomless nesting are refused."""

from __future__ import annotations

import json

from casting.calc.values.errors import Refused
from casting.calc.values.sentence import say
from casting.dayfile.validation import step_in

DIGITS_MAX = 30


class DuplicateKey:
    """Marks the value of a key that is written twice."""


def load(text: str | bytes) -> object:
    """Return the values of a JSON text; `Refused` with the place `file` if it is not JSON."""
    if isinstance(text, bytes):
        try:
            text = text.decode("utf-8")
        except UnicodeDecodeError as error:
            wrong = say("byte {nth} is not UTF-8, but the whole file must be; save it as UTF-8.", nth=error.start)
            raise Refused("file", wrong) from None
    try:
        value: object = json.loads(text.removeprefix("\ufeff"), object_pairs_hook=_object, parse_int=_integer)
    except json.JSONDecodeError as error:
        words = "line {line}, column {column} stops being JSON ({why}); mend it there."
        raise Refused("file", say(words, line=error.lineno, column=error.colno, why=error.msg)) from None
    except RecursionError:
        raise Refused("file", "it is nested too deeply to be a day; send a day file.") from None
    _refuse_duplicates(value)
    return value


def _integer(digits: str) -> int | float:
    return int(digits) if len(digits) <= DIGITS_MAX else float(digits)


def _object(pairs: list[tuple[str, object]]) -> dict[str, object]:
    values: dict[str, object] = {}
    for key, value in pairs:
        values[key] = DuplicateKey() if key in values else value
    return values


def _refuse_duplicates(value: object) -> None:
    todo = [("", value)]
    while todo:
        place, value = todo.pop()
        if isinstance(value, DuplicateKey):
            raise Refused(place, "this key stands twice, but only one can be meant; take one out.")
        if isinstance(value, dict):
            todo += [(step_in(place, key), inner) for key, inner in reversed(value.items())]
        elif isinstance(value, list):
            todo += [(f"{place}[{nth}]", inner) for nth, inner in enumerate(value)]
