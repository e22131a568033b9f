"""Combinatorial lower bounds on the flasks of a family: by number, charge and melt, and by pairs that cannot share."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import accumulate, combinations

from casting.calc.grouping.flask_rules import FlaskRules, Item
from casting.calc.quantities.charge import button_by_diameter, largest_charge, least_button_pct
from casting.calc.values.enums import Section
from casting.calc.values.marked_text import named, waxes_in_words
from casting.calc.values.sentence import Sentence, and_again, say
from casting.calc.values.tolerances import EASE

NAMED_MOST = 4
"""Waxes of which no two can share a flask are named if they are no more than this."""

SECTIONS = {
    Section.VERY_THIN: say("very thin"),
    Section.THIN: say("thin"),
    Section.MEDIUM: say("medium"),
    Section.HEAVY: say("heavy"),
}


@dataclass(frozen=True, slots=True)
class FlaskBound:
    """A lower bound on a number of flasks, and why, as the rest of a sentence after "because"."""

    flasks: int
    because: str


class CombinatorialBounds:
    """Lower bounds for waxes of one family in the sizes that stock and kilns allow."""

    def __init__(self, rules: FlaskRules, usable: frozenset[str]) -> None:
        self.rules = rules
        self.usable = usable
        self._incompatible: dict[frozenset[str], bool] = {}

    def sizes(self, item: Item) -> frozenset[str]:
        """Return the usable sizes that take a wax alone."""
        return self.usable.intersection(self.rules.alone[item.key])

    def melt_limit_g(self, item: Item) -> float:
        """Return the most metal with its button that one melt of the wax's alloy holds, eased upwards [g]."""
        alloy, rules = self.rules.day.alloys[item.wax.alloy], self.rules.day.rules
        return largest_charge(alloy, rules) + EASE

    def least_button_g(self, item: Item, size: str) -> float:
        """Return the least button of a flask of a size in the wax's alloy [g]."""
        day = self.rules.day
        return button_by_diameter(self.rules.sizes[size], day.alloys[item.wax.alloy], day.rules)

    def share(self, item: Item) -> float:
        """Return the least share of a wax's metal that the button of its flask takes [pure ratio].

        The flask's heaviest section is the wax's own or a heavier one.
        """
        return least_button_pct(item.wax.section, Section.HEAVY, self.rules.day.rules) / 100

    def fewest_flasks(self, items: Sequence[Item]) -> FlaskBound:
        """Return the best lower bound on the flasks of waxes of one family.

        Blocks of neighbouring sections with more than the allowed difference between them share no
        flask, so their bounds add up. The blocks are chosen by dynamic programming over the sections.
        """
        if not items:
            return FlaskBound(0, "")
        apart = self.rules.day.rules.sections_may_differ_by + 1
        steps = sorted({item.step for item in items})

        @cache
        def best(first: int) -> tuple[FlaskBound, ...]:
            later = [step for step in steps if step >= first]
            if not later:
                return ()
            choices = [best(later[0] + 1)]
            for last in later:
                block = [item for item in items if later[0] <= item.step <= last]
                choices.append((self._of_block(block), *best(last + apart)))
            return max(choices, key=lambda bounds: (sum(bound.flasks for bound in bounds), -len(bounds)))

        bounds = best(0)
        if len(bounds) == 1:
            return bounds[0]
        parts = [
            say("at least {flasks} ({because})" if bound.flasks > 1 else "at least {flasks}",
                flasks=bound.flasks, because=bound.because)
            for bound in bounds
        ]  # fmt: skip
        because = say("waxes of very different thickness share no flask: {parts}", parts=and_again(parts))
        return FlaskBound(sum(bound.flasks for bound in bounds), because)

    def _of_block(self, items: Sequence[Item]) -> FlaskBound:
        bounds = [self._by_count(items), self._by_charge(items), self._by_melt(items), self._by_pairs(items)]
        return max(bounds, key=lambda bound: bound.flasks)

    def _by_count(self, items: Sequence[Item]) -> FlaskBound:
        most = max(self.rules.sizes[size].waxes_max for item in items for size in self.sizes(item))
        because = say("{waxes}, at most {most} to a flask", waxes=waxes_in_words(len(items)), most=most)
        return FlaskBound(-(-len(items) // most), because)

    def _by_charge(self, items: Sequence[Item]) -> FlaskBound:
        """Bins of one melt: by metal with its share of a button, and by metal in what the least button leaves."""
        most_g = self.melt_limit_g(items[0])
        least_g = min(self.least_button_g(item, size) for item in items for size in self.sizes(item))
        shared = [item.metal_g * (1 + self.share(item)) for item in items]
        bare = [item.metal_g for item in items]
        flasks = max(_bins(shared, most_g), _bins(bare, most_g - least_g))
        words = "{metal_g:.1f} g of metal and the buttons, at most {most_g:.1f} g to a melt"
        return FlaskBound(flasks, say(words, metal_g=sum(bare), most_g=most_g))

    def _by_melt(self, items: Sequence[Item]) -> FlaskBound:
        """The number of the lightest waxes that go into one melt bounds the waxes of every flask."""
        most_g = self.melt_limit_g(items[0])
        least_g = min(self.least_button_g(item, size) for item in items for size in self.sizes(item))
        total, most = 0.0, 0
        for metal_g in sorted(item.metal_g for item in items):
            total += metal_g
            if total > most_g - least_g + EASE:
                break
            most += 1
        words = "one melt of {most_g:.1f} g takes {waxes} at most, even of the lightest"
        because = say(words, most_g=most_g, waxes=waxes_in_words(most))
        return FlaskBound(-(-len(items) // max(most, 1)), because)

    def _by_pairs(self, items: Sequence[Item]) -> FlaskBound:
        """Waxes of which no two can share a flask need one each; found greedily, the heaviest first."""
        alone: list[Item] = []
        for item in sorted(items, key=lambda p: (-p.metal_g, p.key)):
            if all(self.are_incompatible(item, other) for other in alone):
                alone.append(item)
        return FlaskBound(len(alone), _apart(alone))

    def are_incompatible(self, one: Item, other: Item) -> bool:
        """Return whether it is proved that two waxes share no flask."""
        pair = frozenset([one.key, other.key])
        if pair not in self._incompatible:
            self._incompatible[pair] = self._proved_apart(one, other)
        return self._incompatible[pair]

    def _proved_apart(self, one: Item, other: Item) -> bool:
        labels = self.rules.day.held.get(one.key), self.rules.day.held.get(other.key)
        if None not in labels and labels[0] != labels[1]:
            return True
        pair = frozenset([one.key, other.key])
        return not any(
            self.rules.allows(pair, size) and not self.rules.apart(one.key, other.key, size)
            for size in self.sizes(one) & self.sizes(other)
        )


def _apart(alone: Sequence[Item]) -> Sentence:
    """Which waxes share no flask: each by its key if they are few, with its section where sections differ."""
    if len(alone) > NAMED_MOST:
        return say("no two of {waxes} can share one", waxes=waxes_in_words(len(alone)))
    names: list[str] = [named(item.key) for item in alone]
    if len({item.wax.section for item in alone}) > 1:
        names = [say("{wax} ({section})", wax=named(one.key), section=SECTIONS[one.wax.section]) for one in alone]
    return say("{waxes} cannot share one" if len(names) == 2 else "no two of {waxes} can share one", waxes=names)


def _bins(weights: Sequence[float], most: float) -> int:
    """Lower bound L2 on the bins of a bin packing problem (Martello and Toth 1990).

    For each threshold, items over half of a bin need one each, and the middle ones what those leave.
    """
    most += EASE
    order = sorted(weights)
    sums = [0.0, *accumulate(order)]
    half, best = bisect_right(order, most / 2), 0
    for small in sorted({0.0, *order[:half]}):
        low, top = bisect_left(order, small), bisect_right(order, most - small)
        over = sums[half] - sums[low] - ((top - half) * most - (sums[top] - sums[half]))
        best = max(best, len(order) - half + max(0, math.ceil(over / most - EASE)))
    return best


def group_by_sizes(bounds: CombinatorialBounds, items: Sequence[Item]) -> Mapping[frozenset[str], list[Item]]:
    """Return for sets of sizes the waxes that fit no other size.

    Parameters
    ----------
    bounds : CombinatorialBounds
        Which sizes take a wax.
    items : sequence of Item
        Waxes of one family.

    Returns
    -------
    mapping of frozenset of str to list of Item
        An entry for the sizes of each wax, for unions of two of these sets, and for the union of all.
    """
    sets = {bounds.sizes(item) for item in items}
    sets |= {one | other for one, other in combinations(sorted(sets, key=sorted), 2)}
    sets.add(frozenset().union(*sets) if sets else frozenset())
    return {
        sizes: [item for item in items if bounds.sizes(item) <= sizes]
        for sizes in sorted(sets, key=lambda s: (len(s), sorted(s)))
    }
