"""What goes wrong with a flask on the day, what is left of it, and what that makes of its pieces."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType


class Mishap(StrEnum):
    """What went wrong, in the trade's words."""

    LEAKED = "leaked"
    CRACKED = "cracked"
    BLOWN_OUT = "blown_out"
    FROZEN = "frozen"
    LATE = "late"
    POWER = "power"
    MISRUN = "misrun"


class Left(StrEnum):
    """What is left of the flask, as somebody sees it; of a late one, how late it is."""

    METAL = "metal"
    NONE = "none"
    UNPOURED = "unpoured"
    HOT = "hot"
    COLD = "cold"
    LATE_10 = "late_10"
    LATE_20 = "late_20"
    LATE_40 = "late_40"


class Fate(StrEnum):
    """What becomes of a piece: it is looked at once it is out, is cast again, or will do."""

    LOOK = "look"
    AGAIN = "again"
    USABLE = "usable"


ANSWERS: Mapping[Mishap, tuple[Left, ...]] = MappingProxyType(
    {
        Mishap.LEAKED: (Left.METAL, Left.NONE),
        Mishap.CRACKED: (Left.UNPOURED, Left.METAL, Left.NONE),
        Mishap.BLOWN_OUT: (Left.METAL, Left.NONE),
        Mishap.FROZEN: (Left.METAL, Left.NONE),
        Mishap.LATE: (Left.LATE_10, Left.LATE_20, Left.LATE_40),
        Mishap.POWER: (Left.HOT, Left.COLD),
        Mishap.MISRUN: (Left.METAL, Left.NONE),
    }
)
"""What can be left after each."""
FATES: Mapping[Left, Fate] = MappingProxyType(
    {Left.METAL: Fate.LOOK, Left.NONE: Fate.AGAIN, Left.UNPOURED: Fate.AGAIN, Left.COLD: Fate.AGAIN}
)
"""What that makes of its pieces; of what is not here, nothing."""
LATE_MIN: Mapping[Left, int] = MappingProxyType({Left.LATE_10: 10, Left.LATE_20: 20, Left.LATE_40: 40})
"""How late a flask is [min]."""
NOT_POURED = (Left.UNPOURED, Left.COLD)
"""What leaves a flask that must not be poured."""
BEFORE_POUR = (Mishap.LATE, Mishap.POWER)
"""What can only go wrong with a flask that is not poured."""
