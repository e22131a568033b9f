"""Sentences that remember what they say: English words with places for figures, and the figures.

A sentence is its English text, so that whoever knows no other language reads and compares it as text. Whoever words it
for a person of another language (`casting/presenters/wording.py`) looks its words up and fills the figures in anew.

Figures are numbers, names and other text that no language changes, sentences, and lists of these. A place in the words
says after a colon how a number is written (`{charge_g:.1f}`; as few decimals as it has where it says nothing), what
stands between the parts of a list (`and` where it says nothing; `,`, `.`, a space), or `capital` where it
begins a sentence.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache, reduce
from string import Formatter
from typing import TypeAlias

Figure: TypeAlias = str | int | float | Sequence["Figure"]
"""What may stand in a place of a sentence; a `Sentence` is a str."""

AND, COMMA, STOP, SPACE, CAPITAL = "", ",", ".", " ", "capital"
"""What may stand after the colon of a place that takes a list, or a sentence."""
BETWEEN = {COMMA: ", ", STOP: ". ", SPACE: " "}
"""What stands between the parts of a list where that is the same in every language."""
LISTED = "{before:,} and {last}"
"""The words of a list of two and more."""
NUMBERS = frozenset({"", "g", ".1f", ".2f", ".4g", ".0f", "02"})
"""How a number may be written; a plan file from elsewhere asks for nothing else."""
WORDS = "words"
"""The key of a sentence's words in a plan file, beside its figures."""


class Sentence(str):
    """English text with the words it was made of and their figures."""

    words: str
    figures: Mapping[str, Figure]

    def __new__(cls, words: str, figures: Mapping[str, Figure] | None = None) -> Sentence:
        """Fill the figures into the words; numbers are kept as they are written."""
        given = figures or {}
        filled = {name: _as_written(given[name], spec) for name, spec in places_of(words)}
        sentence = super().__new__(cls, filled_in(words, filled, lambda one: one))
        sentence.words, sentence.figures = words, filled
        return sentence

    def __getnewargs__(self) -> tuple[str, Mapping[str, Figure]]:  # type: ignore[override]
        """What a copy is made of."""
        return self.words, self.figures


def say(words: str, /, **figures: Figure) -> Sentence:
    """Return a sentence or a part of one.

    Parameters
    ----------
    words : str
        English, with the names of figures in braces.
    **figures : Figure
        The figures, in the units that the words name.

    Returns
    -------
    Sentence
        The words with their figures.

    >>> say("{flask} takes {charge_g:.1f} g.", flask="A", charge_g=52.46)
    'A takes 52.5 g.'
    """
    return Sentence(words, figures)


def words(text: str) -> str:
    """Mark the words of a sentence whose figures are filled in elsewhere, so that they are found for the catalogue.

    Parameters
    ----------
    text : str
        The words.

    Returns
    -------
    str
        The same words.
    """
    return text


def and_again(parts: Sequence[Figure]) -> Figure:
    """Return parts as a list with "and" between any two: "A and B and C".

    Parameters
    ----------
    parts : sequence of Figure
        At least one.

    Returns
    -------
    Figure
        Lists of two, one in the other; the part itself if it is alone.
    """
    first, *more = parts
    return reduce(lambda listed, part: (listed, part), more, first)


def or_again(parts: Sequence[str]) -> Sentence:
    """Return parts with "or" between any two: "A or B or C".

    Parameters
    ----------
    parts : sequence of str
        At least one.

    Returns
    -------
    Sentence
        The parts.
    """
    first, *more = parts
    return reduce(lambda listed, part: say("{one} or {other}", one=listed, other=part), more, say("{one}", one=first))


def plain(text: str) -> Sentence:
    """Return a text without figures as a sentence.

    Parameters
    ----------
    text : str
        The text, whose braces are no places; a sentence stays what it is.

    Returns
    -------
    Sentence
        Its words are the text.
    """
    return text if isinstance(text, Sentence) else Sentence(text.replace("{", "{{").replace("}", "}}"))


def starred(figure: Figure, mark: str) -> Figure:
    """Return a figure with the mark that stands after it.

    Parameters
    ----------
    figure : Figure
        The figure.
    mark : str
        What stands after it; empty for nothing.

    Returns
    -------
    Figure
        The figure itself if nothing stands after it.
    """
    return Sentence("{figure}" + mark, {"figure": figure}) if mark else figure


def together(sentences: Sequence[str]) -> Sentence:
    """Return sentences one after another.

    Parameters
    ----------
    sentences : sequence of str
        The sentences.

    Returns
    -------
    Sentence
        All of them, a space between any two.
    """
    return say("{sentences: }", sentences=tuple(sentences))


@lru_cache(maxsize=2048)
def places_of(words: str) -> tuple[tuple[str, str], ...]:
    """Return the places of some words in their order.

    Parameters
    ----------
    words : str
        The words.

    Returns
    -------
    tuple of (str, str)
        The name of each figure, and what stands after its colon.
    """
    return tuple((name, spec or "") for _text, name, spec, _as in Formatter().parse(words) if name is not None)


def filled_in(
    words: str,
    figures: Mapping[str, Figure],
    word: Callable[[Sentence], str],
    number: Callable[[str], str] = str,
    name: Callable[[str], str] = str,
) -> str:
    """Return words with their figures filled in.

    Parameters
    ----------
    words : str
        In any language, with the same places.
    figures : mapping of str to Figure
        The figure of each place; KeyError if one is missing.
    word : callable
        From a sentence among the figures to its text.
    number, name : callable
        From a number as English writes it, and from other text, to how the language writes it.

    Returns
    -------
    str
        The text.
    """

    def text_of(value: Figure, spec: str) -> str:
        if isinstance(value, str):
            said = word(value) if isinstance(value, Sentence) else name(value)
            return said[:1].upper() + said[1:] if spec == CAPITAL else said
        if isinstance(value, int | float):
            return number(_digits(value, spec))
        if spec == AND and len(value) > 1:
            return word(Sentence(LISTED, {"before": tuple(value[:-1]), "last": value[-1]}))
        return BETWEEN.get(spec, "").join(text_of(one, "") for one in value)

    parts = (
        text + ("" if place is None else text_of(figures[place], spec or ""))
        for text, place, spec, _as in Formatter().parse(words)
    )
    return "".join(parts)


def _digits(value: float, spec: str) -> str:
    """A number as English writes it."""
    if spec not in NUMBERS:
        raise ValueError(f"{spec!r} is no way to write a number")
    return format(value, spec or ("g" if isinstance(value, float) else ""))


def _as_written(value: Figure, spec: str) -> Figure:
    """A number without the decimals that its place does not write."""
    if isinstance(value, float):
        value = float(_digits(value, spec))
        return int(value) if value.is_integer() and abs(value) < 1e6 else value
    return value if isinstance(value, str | int) else tuple(_as_written(one, "") for one in value)


def to_json(sentence: str) -> dict[str, object] | None:
    """Return the words and figures of a sentence as a plan file holds them.

    Parameters
    ----------
    sentence : str
        A sentence, or other text.

    Returns
    -------
    dict or None
        Its words under `words` and its figures by name; None for text without figures.
    """
    if not isinstance(sentence, Sentence) or not sentence.figures:
        return None
    return {WORDS: sentence.words, **{name: _shown(value) for name, value in sentence.figures.items()}}


def _shown(value: Figure) -> object:
    if isinstance(value, Sentence):
        return {WORDS: value.words, **{name: _shown(figure) for name, figure in value.figures.items()}}
    if isinstance(value, str | int | float):
        return value
    return [_shown(one) for one in value]


def from_json(text: str, said: object = None) -> Sentence:
    """Return a sentence of a plan file.

    Parameters
    ----------
    text : str
        The English text, which is what the plan file says.
    said : object
        Its words and figures, if the file has them.

    Returns
    -------
    Sentence
        With figures if they give exactly that text; else the text, as a sentence without figures.
    """
    if isinstance(said, Mapping):
        try:
            sentence = _read(said)
        except (KeyError, ValueError, TypeError, AttributeError, IndexError):
            return plain(text)
        if sentence == text and isinstance(sentence, Sentence):
            return sentence
    return plain(text)


def _read(value: object) -> Figure:
    if isinstance(value, Mapping):
        return Sentence(str(value[WORDS]), {name: _read(one) for name, one in value.items() if name != WORDS})
    if isinstance(value, list):
        return tuple(_read(one) for one in value)
    if isinstance(value, str | int | float):
        return value
    raise TypeError("a figure is a number, a text, a list or a sentence")
