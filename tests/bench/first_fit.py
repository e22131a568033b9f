"""The plain way to group waxes, to measure plans against: first fit, waxes evenly round the cone.

Largest wax first; each goes into the first flask that takes it, else into the smallest flask left. No search:
the waxes of a flask stand at equal angles, all at one reach, all turned alike. Kiln room is not asked.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, degrees, pi, sin

from casting.calc.day import DayInput
from casting.calc.result import Place
from casting.calc.share import Piece, Sharing
from casting.calc.verify import faults

REACHES = 5


@dataclass(frozen=True)
class FirstFit:
    """What the plain way needs."""

    flasks: int
    powder_g: int
    left_out: int


def evenly(count: int, reach_mm: float, turn_deg: float) -> list[Place]:
    """Places at equal angles round the axis."""
    angles = [2 * pi * nth / count for nth in range(count)]
    return [
        Place(round(reach_mm * cos(a), 3), round(reach_mm * sin(a), 3), round(degrees(a) + turn_deg, 3)) for a in angles
    ]


def stand_evenly(pieces: list[Piece], sharing: Sharing, size: str) -> bool:
    """Whether these waxes stand evenly round the cone of this size."""
    base = sharing.bases[size]
    most = base.hub_mm / 2 + base.reach_mm if len(pieces) > 1 else 0
    reaches = [most * nth / REACHES for nth in range(1, REACHES + 1)] if most else [0]
    prints = [piece.footprint for piece in pieces]
    return any(not faults(prints, evenly(len(pieces), reach, turn), base) for reach in reaches for turn in (0, 90))


def first_fit(day: DayInput) -> FirstFit:
    """Group the day's waxes the plain way."""
    sharing = Sharing(day)
    stock = {size.key: size.count for size in day.flask_sizes}
    by_powder = sorted(stock, key=lambda key: (sharing.powder_g[key], key))
    flasks: list[tuple[str, list[Piece]]] = []
    left_out = 0
    for piece in sorted(sharing.pieces.values(), key=lambda piece: (-piece.area_mm2, piece.key)):
        for size, inside in flasks:
            keys = frozenset(one.key for one in [*inside, piece])
            if sharing.allows(keys, size) and stand_evenly([*inside, piece], sharing, size):
                inside.append(piece)
                break
        else:
            size = next((key for key in by_powder if stock[key] and key in sharing.alone[piece.key]), "")
            if size:
                stock[size] -= 1
                flasks.append((size, [piece]))
            else:
                left_out += 1
    return FirstFit(len(flasks), sum(sharing.powder_g[size] for size, _ in flasks), left_out)
