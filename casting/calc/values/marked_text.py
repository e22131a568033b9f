"""Temperatures in a sentence, marked so that whoever shows the sentence can put them on the school's scale.

A marked figure is digits, one of three no-break spaces and its unit. The space says which way it is rounded on
another scale: `NEAREST` for a set point; `DOWN` for what must not be passed; `UP` for what has to be reached, or has
passed a limit. So a figure over its limit stays over it, and one under it stays under. No name keeps any of these
spaces (`named`), so nothing that a school has typed is ever taken for a figure.

A figure from memory has `FROM_MEMORY` after it, before or after its unit.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence

from casting.calc.values.enums import Kind
from casting.calc.values.sentence import Sentence, say, words

FROM_MEMORY = "*\u2060"
"""What stands after a figure from memory: a star, and a sign without width that nobody types."""
DOWN, UP, NEAREST = "\u202f", "\u00a0", "\u2007"
HEAT, WARMER, RAMP = "°C", "degrees C", "°C/h"
"""The units: a temperature, a difference of two, a difference an hour."""

# "About" as English and Spanish say it: such a figure is given in tens on another scale.
MARKED = re.compile(
    rf"(about |unos )?(-?\d+(?:\.\d+)?)({re.escape(FROM_MEMORY)})?([{DOWN}{UP}{NEAREST}])({RAMP}|{HEAT}|{WARMER})"
)


FLASK_SIZE = re.compile(r"(\d+(?:\.\d+)?) × (\d+(?:\.\d+)?)\u2060 mm")
"""Inside diameter by height of a flask without a name, in mm; told from typed words by the sign without width."""


def flask_size(diameter_mm: float, height_mm: float) -> str:
    """Return the size of a flask that has no name, for a sentence.

    Parameters
    ----------
    diameter_mm, height_mm : float
        Inside diameter and height [mm].

    Returns
    -------
    str
        Marked, to be put in the school's unit.
    """
    return f"{diameter_mm:g} × {height_mm:g}\u2060 mm"


FIRINGS: Mapping[Kind | None, str] = {
    None: words("the firing for flasks up to {diameter_mm} x {height_mm} mm"),
    Kind.WAX: words("the wax firing for flasks up to {diameter_mm} x {height_mm} mm"),
    Kind.RESIN: words("the resin firing for flasks up to {diameter_mm} x {height_mm} mm"),
    Kind.STONES: words("the stones firing for flasks up to {diameter_mm} x {height_mm} mm"),
}
"""What a sentence calls a firing, by the only kind of pattern that it is for."""


def firing_called(only: Kind | None, diameter_mm: float, height_mm: float) -> Sentence:
    """Return what a sentence calls a firing, as it has no name.

    Parameters
    ----------
    only : Kind or None
        The only kind of pattern that it is for; None if there are several.
    diameter_mm, height_mm : float
        The largest flask that it is for [mm].

    Returns
    -------
    Sentence
        What it fires.
    """
    return Sentence(FIRINGS[only], {"diameter_mm": diameter_mm, "height_mm": height_mm})


def mark(figure: str, from_memory: Collection[str]) -> str:
    """Return what stands after a figure.

    Parameters
    ----------
    figure : str
        The figure's name, as in `flask_c.thin`.
    from_memory : collection of str
        The names of a thing's figures that are from memory; a name without a point stands for all of its parts.

    Returns
    -------
    str
        `FROM_MEMORY` if it is one of them, else nothing.
    """
    return FROM_MEMORY if figure in from_memory or figure.partition(".")[0] in from_memory else ""


def heat(celsius: float) -> str:
    """Return a planned temperature for a sentence.

    Parameters
    ----------
    celsius : float
        Temperature [degrees C].

    Returns
    -------
    str
        Marked, to be rounded to the nearest degree.
    """
    return f"{celsius:g}{NEAREST}{HEAT}"


def ramp(celsius_per_h: float) -> str:
    """Return a planned ramp for a sentence.

    Parameters
    ----------
    celsius_per_h : float
        Rate [degrees C per hour].

    Returns
    -------
    str
        Marked, to be rounded to the nearest degree.
    """
    return f"{celsius_per_h:g}{NEAREST}{RAMP}"


def in_a_sentence(name: str) -> str:
    """Return the name of a metal as the middle of a sentence holds it.

    Parameters
    ----------
    name : str
        What a school has typed at the head of a row.

    Returns
    -------
    str
        With a small first letter, if no other letter is a capital and the first word is a word: "14k yellow gold"
        and "CuSi bronze" stay as they are.
    """
    return name[:1].lower() + name[1:] if name[1:2].isalpha() and name[1:] == name[1:].lower() else name


def named(name: str) -> str:
    """Return a name or key as a sentence may hold it.

    Parameters
    ----------
    name : str
        What a school has typed.

    Returns
    -------
    str
        With plain spaces for those that mark figures.
    """
    return name if isinstance(name, Sentence) else name.replace(DOWN, " ").replace(UP, " ").replace(NEAREST, " ")


def waxes_in_words(number: int) -> Sentence:
    """Return a number of waxes as a sentence says it.

    Parameters
    ----------
    number : int
        How many waxes.

    Returns
    -------
    Sentence
        "1 wax", "2 waxes".
    """
    return say("1 wax") if number == 1 else say("{waxes} waxes", waxes=number)


def flasks_in_words(labels: Sequence[str]) -> Sentence:
    """Return flasks as a sentence names them.

    Parameters
    ----------
    labels : sequence of str
        At least one.

    Returns
    -------
    Sentence
        "flask A", "flasks A, B and C".
    """
    return say("flask {flasks}" if len(labels) == 1 else "flasks {flasks}", flasks=labels)


def in_words(parts: Iterable[str]) -> Sentence:
    """Return parts as a sentence lists them: "A", "A and B", "A, B and C".

    Parameters
    ----------
    parts : iterable of str
        At least one.

    Returns
    -------
    Sentence
        The list.
    """
    return say("{parts}", parts=tuple(parts))
