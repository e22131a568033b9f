"""Every set of waxes that one flask may take, unless a proof forbids it: the columns of the cover."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from casting.calc.charge import STERLING_SG, by_diameter, charge_limit
from casting.calc.day import SLACK
from casting.calc.flasks import Bench
from casting.calc.footprint import cannot_share
from casting.calc.share import Piece


@dataclass(frozen=True, slots=True)
class Column:
    """Waxes in a flask of a size, as far as any rule or proof knows; its layout is still to be found."""

    keys: frozenset[str]
    size: str
    cost: float


def columns_of(bench: Bench, loose: Sequence[str], sizes: frozenset[str], most: int) -> list[Column] | None:
    """Return every column of these waxes.

    Parameters
    ----------
    bench : Bench
        The day's rules and stock.
    loose : sequence of str
        Waxes that are in no fixed flask and that some flask takes.
    sizes : frozenset of str
        The flask sizes that may be used.
    most : int
        The most columns worth having.

    Returns
    -------
    list of Column or None
        All that no rule and no proof forbids; None if there are more than `most`.
    """
    found: list[Column] = []
    parties: dict[tuple[str, str, str], list[Piece]] = {}
    for key in sorted(loose):
        parties.setdefault(bench.pieces[key].party, []).append(bench.pieces[key])
    for party in sorted(parties):
        for keys, taking in _Party(bench, parties[party], sizes).sets():
            found += [
                Column(keys, size, bench.cost(keys, size))
                for size in taking
                if bench.melts(keys, size)
                and (len(keys) < 3 or not cannot_share([bench.pieces[k].footprint for k in keys], bench.bases[size]))
            ]
            if len(found) > most:
                return None
    return found


class _Party:
    """The waxes of one party, and what two of them forbid each other."""

    def __init__(self, bench: Bench, pieces: list[Piece], sizes: frozenset[str]) -> None:
        self.bench, self.pieces = bench, pieces
        rules, alloy = bench.day.rules, bench.day.alloys[pieces[0].wax.alloy]
        self.most_g = charge_limit(alloy, rules) + SLACK
        self.sizes = [size for size, count in sorted(bench.stock.items()) if count > 0 and size in sizes]
        self.bare_g = {
            size: by_diameter(rules.button_g_by_diameter, bench.sizes[size].diameter_mm)
            * alloy.specific_gravity
            / STERLING_SG
            for size in self.sizes
        }
        self.pairs = {
            size: {
                (one, other)
                for nth, one in enumerate(pieces)
                for other in pieces[nth + 1 :]
                if not cannot_share([one.footprint, other.footprint], bench.bases[size])
            }
            for size in self.sizes
        }

    def sets(self) -> Iterator[tuple[frozenset[str], list[str]]]:
        """Sets of waxes with the sizes that may take them, held ones whole."""
        for number, piece in enumerate(self.pieces):
            alone = [size for size in self.sizes if size in self.bench.alone[piece.key]]
            yield from self._grown([piece], alone, number)

    def _grown(self, inside: list[Piece], sizes: list[str], last: int) -> Iterator[tuple[frozenset[str], list[str]]]:
        if not sizes:
            return
        if self._held_whole(inside):
            yield frozenset(piece.key for piece in inside), sizes
        for number in range(last + 1, len(self.pieces)):
            more = [*inside, self.pieces[number]]
            if self._near(more):
                yield from self._grown(more, [size for size in sizes if self._takes(more, size)], number)

    def _near(self, inside: list[Piece]) -> bool:
        steps = [piece.step for piece in inside]
        held = {self.bench.day.held[piece.key] for piece in inside if piece.key in self.bench.day.held}
        return max(steps) - min(steps) <= self.bench.day.rules.sections_may_differ_by and len(held) < 2

    def _takes(self, inside: list[Piece], size: str) -> bool:
        newest = inside[-1]
        return (
            len(inside) <= self.bench.sizes[size].waxes_max
            and size in self.bench.alone[newest.key]
            and sum(piece.metal_g for piece in inside) + self.bare_g[size] <= self.most_g
            and all((piece, newest) in self.pairs[size] for piece in inside[:-1])
        )

    def _held_whole(self, inside: list[Piece]) -> bool:
        keys = {piece.key for piece in inside}
        labels = {self.bench.day.held[key] for key in keys if key in self.bench.day.held}
        return all(key in keys for key, label in self.bench.day.held.items() if label in labels)
