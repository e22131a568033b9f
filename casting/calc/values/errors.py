"""Sentences for what cannot be worked out, with their numbers as attributes."""

from __future__ import annotations


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


class Refused(CastingError):
    """A day that cannot be planned at all: where in the day file, and why."""

    def __init__(self, place: str, sentence: str) -> None:
        self.place = place
        self.sentence = sentence
        super().__init__(f"{place}: {sentence}")
