"""The closed lists of words that code, screen, paper and file share."""

from __future__ import annotations

from enum import StrEnum
from functools import cached_property


class Section(StrEnum):
    """The thinnest part that must fill: under 0.8 mm, to 1.2, to 2.5, above."""

    VERY_THIN = "very_thin"
    THIN = "thin"
    MEDIUM = "medium"
    HEAVY = "heavy"

    @cached_property
    def step(self) -> int:
        """Place on the scale, thinnest first, from 0."""
        return list(Section).index(self)

    @property
    def from_mm(self) -> float:
        """The thickness from which it counts [mm]."""
        return (0.0, 0.8, 1.2, 2.5)[self.step]

    @classmethod
    def of(cls, thinnest_mm: float) -> Section:
        """What a thinnest part so thick counts as [mm]."""
        return next(section for section in reversed(cls) if section.from_mm <= thinnest_mm)


class Kind(StrEnum):
    """What burns out: wax, or resin (printed), or wax around stones that stay in the mould."""

    WAX = "wax"
    RESIN = "resin"
    STONES = "stones"


PATTERN_KINDS = (Kind.WAX, Kind.RESIN)
"""What a pattern material may be; stones belong to a wax, not to its material."""


class Stones(StrEnum):
    """Stones left in a wax: none, only such as take a low firing, or others (or nobody knows which)."""

    NONE = "none"
    TAKE_FIRING = "take_firing"
    OTHER = "other"


class Powder(StrEnum):
    """What binds an investment powder. One that nobody recorded counts as the worse of both, rule by rule."""

    GYPSUM = "gypsum"
    PHOSPHATE = "phosphate"
    UNKNOWN = "unknown"

    @property
    def may_be_gypsum(self) -> bool:
        """Whether it is gypsum or not recorded."""
        return self is not Powder.PHOSPHATE

    @property
    def may_be_phosphate(self) -> bool:
        """Whether it is phosphate or not recorded."""
        return self is not Powder.GYPSUM


class Status(StrEnum):
    """What a figure's source is worth."""

    PUBLISHED = "published"
    SECOND_HAND = "second hand"
    COMPUTED = "computed"
    PRACTICE = "practice"
    JUDGEMENT = "judgement"
    MEMORY = "memory"
    INVENTED = "invented"


class Reason(StrEnum):
    """Why a wax is left out; the first that is true, in this order."""

    STOPPED = "stopped"
    STONES = "stones"
    TOO_TALL = "too_tall"
    TOO_WIDE = "too_wide"
    OVER_CRUCIBLE = "over_crucible"
    KEPT_OUT = "kept_out"
    NO_FLASK_LEFT = "no_flask_left"
    NO_KILN_ROOM = "no_kiln_room"


class Aim(StrEnum):
    """What a plan spares first."""

    FEWEST_POURS = "fewest_pours"
    LEAST_MATERIAL = "least_material"


class Level(StrEnum):
    """How hard a caution is."""

    STOP = "STOP"
    WARN = "WARN"
    SAY = "SAY"


class Asked(StrEnum):
    """When a caution is asked."""

    SET_UP = "set_up"
    PLAN = "plan"
    KILN = "kiln"
    MELT = "melt"
    POUR = "pour"
    QUENCH = "quench"


class Do(StrEnum):
    """The steps of the day."""

    HAND_IN_CLOSES = "hand_in_closes"
    MOUNT = "mount"
    MIX = "mix"
    SET = "set"
    LOAD = "load"
    KILN_ON = "kiln_on"
    RAMP = "ramp"
    HOLD = "hold"
    SOAK = "soak"
    MELT = "melt"
    POUR = "pour"
    QUENCH = "quench"
    DIVEST = "divest"


class Tick(StrEnum):
    """What is noted on the day beside the steps of a plan.

    Of a base its weight and its photo; of a bowl how warm its water is and what it weighs, powder in the water, gauge
    under the bell, gloss gone; a gate; what a pour needs, and the gauge at it; a piece given back, its sprue.
    """

    WEIGHED = "weighed"
    PHOTO = "photo"
    WATER = "water"
    WATER_G = "water_g"
    MIXING = "mixing"
    BELL = "bell"
    GLOSS = "gloss"
    GATE = "gate"
    MELTING = "melting"
    GAUGE = "gauge"
    OUT = "out"
    POUR_GAUGE = "pour_gauge"
    RELEASED = "released"
    COLLECTED = "collected"
    SPRUE = "sprue"


class Gate(StrEnum):
    """What somebody answers for, by name, before the day's first pour."""

    DRY = "dry"
    GAUGE = "gauge"
    BUTTON = "button"
