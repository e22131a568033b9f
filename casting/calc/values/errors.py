"""Sentences for what cannot be worked out, with their numbers as attributes."""

from __future__ import annotations

import json
import re
from collections.abc import Callable

from casting.calc.values.sentence import from_json, plain, to_json

BEGIN, BETWEEN, END = "\ue000", "\ue001", "\ue002"
MARKED = re.compile(f"{BEGIN}([^{BETWEEN}]*){BETWEEN}([^{BETWEEN}]*){BETWEEN}([^{END}]*){END}")
"""A figure of a refusal: its unit, its value, and what a day file's reader says of it."""


class CastingError(ValueError):
    """Something that cannot be worked out, said in a sentence fit for a student."""


class NotAWeight(CastingError):
    """A weight that no wax or metal can have."""

    def __init__(self, weight_g: float, what: str = "wax") -> None:
        self.weight_g = weight_g
        super().__init__(f"The {what} must weigh more than 0 g, not {weight_g:g} g.")


class NotASize(CastingError):
    """A length or volume that no flask or wax can have [mm, or the unit it names]."""

    def __init__(self, size: float, what: str, unit: str = "mm") -> None:
        self.size = size
        super().__init__(f"The {what} must be more than 0 {unit}, not {size:g} {unit}.")


class NotAComposition(CastingError):
    """An alloy whose parts cannot be added up."""


def marked(unit: str, value: object, plain: str) -> str:
    """Return a figure for the sentence of a refusal, so that a school can read it in its own unit.

    Parameters
    ----------
    unit : str
        What it is in, as the end of a key says it: `mm`, `c`, `c_per_h`; or `key` for the name of a figure.
    value : object
        The figure in that unit.
    plain : str
        What the sentence says of it elsewhere.

    Returns
    -------
    str
        The figure, marked.
    """
    return f"{BEGIN}{unit}{BETWEEN}{value}{BETWEEN}{plain}{END}"


def worded(sentence: str, word: Callable[[str, str, str], str]) -> str:
    """Return a sentence with each marked figure in other words.

    Parameters
    ----------
    sentence : str
        As `Refused.marked` keeps it.
    word : callable
        From a figure's unit, its value and its plain words.

    Returns
    -------
    str
        The sentence without marks.
    """
    return MARKED.sub(lambda found: word(found[1], found[2], found[3]), sentence)


class Refused(CastingError):
    """A day that cannot be planned at all: where in the day file, and why.

    `marked` is the sentence with its words, for other languages, and the marks of its figures.
    """

    def __init__(self, place: str, sentence: str) -> None:
        self.place = place
        self.marked = plain(sentence)
        self.sentence = worded(self.marked, lambda _unit, _value, plain: plain)
        super().__init__(f"{place}: {self.sentence}")

    def to_line(self) -> str:
        """Return the refusal as a line of JSON, from which another process makes it again."""
        return json.dumps({"place": self.place, "sentence": self.marked, "said": to_json(self.marked)})

    @classmethod
    def from_line(cls, line: str) -> Refused:
        """Return the refusal of such a line; of other text, one without a place."""
        try:
            told = json.loads(line)
            return cls(str(told["place"]), from_json(str(told["sentence"]), told["said"]))
        except (ValueError, KeyError, TypeError):
            return cls("", line)
