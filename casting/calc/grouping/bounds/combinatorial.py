"""The fewest flasks that waxes of one party can need, each bound with the figures behind it."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import accumulate, combinations

from casting.calc.grouping.flask_rules import FlaskRules, Item
from casting.calc.quantities.charge import STERLING_SG, by_diameter, charge_limit
from casting.calc.values.day_input import SLACK
from casting.calc.values.enums import Section

EASE = 1e-6
"""Sums are eased by this, so that rounding never makes a bound too high."""


@dataclass(frozen=True, slots=True)
class Need:
    """At least so many flasks, and why, as the rest of a sentence."""

    flasks: int
    because: str


class Needs:
    """Bounds for the waxes of one party, in the sizes that stock and kilns could give."""

    def __init__(self, rules: FlaskRules, usable: frozenset[str]) -> None:
        self.rules = rules
        self.usable = usable
        self._never: dict[frozenset[str], bool] = {}

    def sizes(self, piece: Item) -> frozenset[str]:
        """The usable sizes that take a wax alone."""
        return self.usable.intersection(self.rules.alone[piece.key])

    def most_g(self, piece: Item) -> float:
        """Metal and button that one melt of this alloy can hold, eased."""
        alloy, rules = self.rules.day.alloys[piece.wax.alloy], self.rules.day.rules
        steps = math.floor((charge_limit(alloy, rules) + SLACK) / rules.charge_step_g + EASE)
        return steps * rules.charge_step_g + EASE

    def least_button_g(self, piece: Item, size: str) -> float:
        """The button by diameter of a flask, which each has at least."""
        rules = self.rules.day.rules
        fixed_g = by_diameter(rules.button_g_by_diameter, self.rules.sizes[size].diameter_mm)
        return fixed_g * self.rules.day.alloys[piece.wax.alloy].specific_gravity / STERLING_SG

    def share(self, piece: Item) -> float:
        """The least share of a wax's metal that its flask's button takes.

        The flask's heaviest section is this one or a heavier; the table need not ascend.
        """
        heavier = [s for s in Section if s.step >= piece.step]
        return min(self.rules.day.rules.button_pct[section] for section in heavier) / 100

    def of(self, pieces: Sequence[Item]) -> Need:
        """The largest bound, over sets of sections too far apart to share.

        Blocks of neighbouring steps with more than the allowed difference between them share
        no flask, so their bounds add up.
        """
        if not pieces:
            return Need(0, "")
        apart = self.rules.day.rules.sections_may_differ_by + 1
        steps = sorted({piece.step for piece in pieces})

        @cache
        def best(first: int) -> tuple[Need, ...]:
            later = [step for step in steps if step >= first]
            if not later:
                return ()
            choices = [best(later[0] + 1)]
            for last in later:
                block = [piece for piece in pieces if later[0] <= piece.step <= last]
                choices.append((self._of_block(block), *best(last + apart)))
            return max(choices, key=lambda needs: (sum(n.flasks for n in needs), -len(needs)))

        needs = best(0)
        if len(needs) == 1:
            return needs[0]
        because = "sections too far apart share no flask: " + "; ".join(
            f"at least {need.flasks}, as {need.because}" for need in needs
        )
        return Need(sum(need.flasks for need in needs), because)

    def _of_block(self, pieces: Sequence[Item]) -> Need:
        bounds = [self._by_count(pieces), self._by_charge(pieces), self._by_melt(pieces), self._by_pairs(pieces)]
        return max(bounds, key=lambda need: need.flasks)

    def _by_count(self, pieces: Sequence[Item]) -> Need:
        most = max(self.rules.sizes[size].waxes_max for piece in pieces for size in self.sizes(piece))
        because = f"{_waxes(len(pieces))}, at most {most} to a flask"
        return Need(-(-len(pieces) // most), because)

    def _by_charge(self, pieces: Sequence[Item]) -> Need:
        """Each melt holds the waxes' metal with their shares, and metal with a least button."""
        most_g = self.most_g(pieces[0])
        least_g = min(self.least_button_g(piece, size) for piece in pieces for size in self.sizes(piece))
        shared = [piece.metal_g * (1 + self.share(piece)) for piece in pieces]
        bare = [piece.metal_g for piece in pieces]
        flasks = max(_bins(shared, most_g), _bins(bare, most_g - least_g))
        because = (
            f"{sum(bare):.1f} g of metal and its buttons need so many melts, "
            f"and one melt takes {most_g:.1f} g with its button"
        )
        return Need(flasks, because)

    def _by_melt(self, pieces: Sequence[Item]) -> Need:
        """The lightest waxes bound how many can share one melt."""
        most_g = self.most_g(pieces[0])
        least_g = min(self.least_button_g(piece, size) for piece in pieces for size in self.sizes(piece))
        total, most = 0.0, 0
        for metal_g in sorted(piece.metal_g for piece in pieces):
            total += metal_g
            if total > most_g - least_g + EASE:
                break
            most += 1
        because = f"even the lightest go at most {most} to one melt of {most_g:.1f} g"
        return Need(-(-len(pieces) // max(most, 1)), because)

    def _by_pairs(self, pieces: Sequence[Item]) -> Need:
        """Waxes of which no two can share: as many flasks."""
        alone: list[Item] = []
        for piece in sorted(pieces, key=lambda p: (-p.metal_g, p.key)):
            if all(self.never_two(piece, other) for other in alone):
                alone.append(piece)
        both = "two of its waxes can share no flask, by place or by melt"
        because = both if len(alone) == 2 else f"no two of {_waxes(len(alone))} can share a flask, by place or by melt"
        return Need(len(alone), because)

    def never_two(self, one: Item, other: Item) -> bool:
        """True if it is proved that two waxes share no flask."""
        pair = frozenset([one.key, other.key])
        if pair not in self._never:
            self._never[pair] = self._proved_apart(one, other)
        return self._never[pair]

    def _proved_apart(self, one: Item, other: Item) -> bool:
        labels = self.rules.day.held.get(one.key), self.rules.day.held.get(other.key)
        if None not in labels and labels[0] != labels[1]:
            return True
        pair = frozenset([one.key, other.key])
        return not any(
            self.rules.allows(pair, size) and not self.rules.apart(one.key, other.key, size)
            for size in self.sizes(one) & self.sizes(other)
        )


def _waxes(number: int) -> str:
    return "1 wax" if number == 1 else f"{number} waxes"


def _bins(weights: Sequence[float], most: float) -> int:
    """A lower bound for bins: large, middle and small items apart (Martello and Toth 1990, L2)."""
    most += EASE
    order = sorted(weights)
    sums = [0.0, *accumulate(order)]
    half, best = bisect_right(order, most / 2), 0
    for small in sorted({0.0, *order[:half]}):
        low, top = bisect_left(order, small), bisect_right(order, most - small)
        over = sums[half] - sums[low] - ((top - half) * most - (sums[top] - sums[half]))
        best = max(best, len(order) - half + max(0, math.ceil(over / most - EASE)))
    return best


def by_reach(needs: Needs, pieces: Sequence[Item]) -> Mapping[frozenset[str], list[Item]]:
    """Return, for each set of sizes, the waxes that only sizes of that set take.

    Parameters
    ----------
    needs : Needs
        Bounds of the day.
    pieces : sequence of Item
        Waxes of one party.

    Returns
    -------
    mapping of frozenset of str to list of Item
        One entry for each set of sizes of some wax, and for unions of two of them.
    """
    sets = {needs.sizes(piece) for piece in pieces}
    sets |= {one | other for one, other in combinations(sorted(sets, key=sorted), 2)}
    sets.add(frozenset().union(*sets) if sets else frozenset())
    return {
        sizes: [piece for piece in pieces if needs.sizes(piece) <= sizes]
        for sizes in sorted(sets, key=lambda s: (len(s), sorted(s)))
    }
