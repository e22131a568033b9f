"""Cautions that say the same of several metals, said once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from casting.calc.values.sentence import Sentence, say
from casting.presenters.cautions import ShownCaution
from casting.presenters.wording import in_units

OF_ONE, OF_SEVERAL = ". It contains ", ". Each contains "
METAL = "alloy"
"""The figure of a rule's words that names its metal."""


def told_once(cautions: Iterable[ShownCaution]) -> list[ShownCaution]:
    """Return the cautions in their order; one whose words differ from an earlier one's by its metal joins that."""
    merged: dict[tuple[str, str], tuple[ShownCaution, list[str]]] = {}
    for nth, one in enumerate(cautions):
        metal = _metal_of(one)
        key = (one.id, f"{_of(one, '')} {one.cleared_by} {one.reason}" if metal else f"{nth}")
        _first, metals = merged.setdefault(key, (one, []))
        if metal and metal not in metals:
            metals.append(metal)
    return [_of_all(first, metals) for first, metals in merged.values()]


def _of_all(first: ShownCaution, metals: list[str]) -> ShownCaution:
    text = first.text
    if len(metals) > 1:
        several = _of(first, say("{metals:,}", metals=tuple(metals)))
        text = in_units(Sentence(several.words.replace(OF_ONE, OF_SEVERAL), several.figures), first.units)
    return replace(first, text=text, metals=tuple(metals))


def _metal_of(caution: ShownCaution) -> str:
    """The metal that a caution is about; nothing if it is about none, or says more than its rule."""
    said = caution.as_raised
    return str(said.figures.get(METAL, "")) if isinstance(said, Sentence) else ""


def _of(caution: ShownCaution, metals: str) -> Sentence:
    """A caution about a metal, of other metals."""
    said = caution.as_raised
    assert isinstance(said, Sentence)
    return Sentence(said.words, {**said.figures, METAL: metals})
