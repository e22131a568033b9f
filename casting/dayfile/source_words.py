"""The source of a figure or a rule as a sentence, which a page says in the reader's language."""

from __future__ import annotations

import re

from casting.calc.values.sentence import Sentence, plain, say, words
from casting.dayfile.sources_file import told_as

MEMORY, ALONE = "from memory: ", words("from memory")
SUPPLIERS_SHEET = "; take it from the supplier's sheet"
"""How the shelf's sources end that a supplier's sheet would better."""
ELEMENTS = re.compile(r"a library of the elements; another gives ([\d.]+)")
BEFORE, AFTER = words("from memory: {what}"), words("{what}; take it from the supplier's sheet")


def source_sentence(source: str) -> Sentence:
    """Return a source as a sentence.

    Parameters
    ----------
    source : str
        As a fixture names it; temperatures in degrees Celsius, marked.

    Returns
    -------
    Sentence
        What a page says of it (`dayfile.sources_file.told_as`).
    """
    said, text = without_memory(source), told_as(source)
    if text == ALONE:
        return say(ALONE)
    if text.endswith(SUPPLIERS_SHEET):
        said = say(AFTER, what=said)
    return say(BEFORE, what=said) if text.startswith(MEMORY) else said


def without_memory(source: str) -> Sentence:
    """Return a source without the words that say that it is memory, for where its worth says so.

    Parameters
    ----------
    source : str
        As a fixture names it.

    Returns
    -------
    Sentence
        Empty if it says nothing else.
    """
    text = told_as(source).removesuffix(SUPPLIERS_SHEET)
    text = "" if text == ALONE else text.removeprefix(MEMORY)
    if found := ELEMENTS.fullmatch(text):
        return say("a library of the elements; another gives {density}", density=float(found[1]))
    return plain(text)
