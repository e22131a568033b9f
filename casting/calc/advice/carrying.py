"""Quick answers for a board: which flasks take one wax while all others stay where they are, and where it may stand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from casting.calc.advice.on_tree import with_one_more, without
from casting.calc.geometry.infeasibility import cannot_share
from casting.calc.grouping.breaches import joining, standing
from casting.calc.grouping.evaluator import FlaskEvaluator, SearchMode
from casting.calc.grouping.solution import Flask
from casting.calc.kiln.loading import could_fire
from casting.calc.layout.around import find_spots
from casting.calc.values.day_input import DayInput
from casting.calc.values.day_plan import Place, TreePlace
from casting.calc.values.placed import Breach, PlacedFlask, PlacedWax, Rule

TRUSTING = SearchMode(kilns_trusted=True, quick=True)
"""Kilns that are left roomy have a place for one more flask; a plan looks for it."""


class Verdict(StrEnum):
    """Whether a flask takes a wax."""

    HERE = "here"
    """The wax is in it."""
    TAKES = "takes"
    REFUSED = "refused"
    """A rule keeps it out, or it is proved that no layout exists."""
    NOT_FOUND = "not_found"
    """No spot was found while the others stay, which proves nothing."""


@dataclass(frozen=True, slots=True)
class Bill:
    """What a flask takes: charge, button and powder [g], and what it costs [currency]."""

    charge_g: float
    button_g: float
    powder_g: float
    cost: float


@dataclass(frozen=True, slots=True)
class Price:
    """What a move costs: the flask with the wax, the one that it leaves (None if it empties), and the day's difference.

    On a tree the trunk counts with its least length.
    """

    with_it: Bill
    left: Bill | None
    more: Bill


@dataclass(frozen=True, slots=True)
class Answer:
    """What a flask, or an empty one of a size (no label), says to a wax."""

    label: str
    size: str
    verdict: Verdict
    spot: Place | None = None
    breaches: tuple[Breach, ...] = ()
    price: Price | None = None


class Board:
    """A day's flasks as they stand, every wax at its spot."""

    def __init__(self, day: DayInput, flasks: Sequence[PlacedFlask]) -> None:
        self.day, self.flasks = day, tuple(flasks)
        self._evaluator = FlaskEvaluator(replace(day, placed=(), held={}))
        self.rules = self._evaluator.rules

    def flask_of(self, key: str) -> PlacedFlask | None:
        """Return the flask that a wax stands in; None if it is in none."""
        return next((flask for flask in self.flasks if key in flask.keys), None)

    def named(self, label: str) -> PlacedFlask | None:
        """Return the flask of a label; None if there is none."""
        return next((flask for flask in self.flasks if flask.label == label), None)

    def answers(self, key: str) -> tuple[Answer, ...]:
        """Return what each flask, and an empty one of each size, says to a wax while all others stay.

        Parameters
        ----------
        key : str
            The wax.

        Returns
        -------
        tuple of Answer
            Flasks in their order, then sizes in the day's, without a label. Where the wax is refused, all rules that
            it breaks, with their figures [mm, g]; no prices there.
        """
        asked = [*self.flasks, *(PlacedFlask("", size.key, ()) for size in self.day.flask_sizes)]
        first = [self._by_rules(key, flask) for flask in asked]
        open_ = [nth for nth, answer in enumerate(first) if answer is None]
        spots = dict(zip(open_, self._spots(key, [asked[nth] for nth in open_]), strict=True))
        return tuple(
            self._answer(key, flask, spots[nth]) if answer is None else answer
            for nth, (flask, answer) in enumerate(zip(asked, first, strict=True))
        )

    def _answer(self, key: str, flask: PlacedFlask, spot: Place | None) -> Answer:
        verdict = Verdict.NOT_FOUND if spot is None else Verdict.TAKES
        return Answer(flask.label, flask.size, verdict, spot, price=self._price(key, flask))

    def _by_rules(self, key: str, flask: PlacedFlask) -> Answer | None:
        """The answer of a flask that needs no layout; None if one has to be looked for."""
        if key in flask.keys:
            return Answer(flask.label, flask.size, Verdict.HERE, flask.spots.get(key))
        breaches = self.breaches(key, flask.label, flask.size)
        if breaches:
            return Answer(flask.label, flask.size, Verdict.REFUSED, breaches=breaches)
        footprints = [self.rules.items[one].footprint for one in (key, *flask.keys)]
        if cannot_share(footprints, self.rules.bases[flask.size], ring=False):
            return Answer(flask.label, flask.size, Verdict.REFUSED, breaches=(Breach(Rule.NO_ROOM, key),))
        if not flask.keys and not self._kilns_take(key, flask.size):
            return Answer(flask.label, flask.size, Verdict.NOT_FOUND)
        return None

    def breaches(self, key: str, label: str, size: str = "") -> tuple[Breach, ...]:
        """Return the rules that keep a wax out of a flask, layouts aside.

        Parameters
        ----------
        key : str
            The wax.
        label : str
            The flask; empty for a new one of `size`.
        size : str
            The size of a new flask.

        Returns
        -------
        tuple of Breach
            All that it breaks, with their figures [mm, g]; none if they let it in.
        """
        flask, here = self.named(label), self.flask_of(key)
        if label in self.day.fixed or (here is not None and here.label in self.day.fixed):
            return (Breach(Rule.FIXED, key),)
        if flask is not None:
            return joining(self.rules, key, sorted(flask.keys - {key}), flask.size)
        return (*joining(self.rules, key, (), size), *self._shortage(key, size))

    def _shortage(self, key: str, size: str) -> Iterator[Breach]:
        """What keeps a new flask from being used: none is left, or no kiln and firing suits it."""
        used = Counter(flask.size for flask in self.flasks if flask.keys != {key})[size]
        count = self.rules.sizes[size].count
        if used >= count:
            yield Breach(Rule.STOCK, key, used + 1, count)
        if not could_fire(self.day, self.rules.sizes[size]):
            yield Breach(Rule.KILN, key)

    def _kilns_take(self, key: str, size: str) -> bool:
        """Whether the kilns have a place for a new flask with a wax, found or as good as certain."""
        others = [Flask(flask.size, flask.keys - {key}, flask.label) for flask in self.flasks if flask.keys - {key}]
        return self._evaluator.in_mode(TRUSTING).kiln_takes([*others, Flask(size, frozenset([key]))])

    def _spots(self, key: str, flasks: Sequence[PlacedFlask]) -> list[Place | None]:
        """A spot for a wax in each of several flasks."""
        items, bases = self.rules.items, self.rules.bases
        cones = [flask for flask in flasks if bases[flask.size].trunk is None]
        asked = [
            (items[key].footprint, [(items[one].footprint, at) for one, at in flask.spots.items()], bases[flask.size])
            for flask in cones
        ]
        found = dict(zip((id(flask) for flask in cones), find_spots(asked), strict=True))
        return [found[id(flask)] if id(flask) in found else self._on_tree(key, flask) for flask in flasks]

    def _on_tree(self, key: str, flask: PlacedFlask) -> Place | None:
        """A spot on a tree, whose tiers are stacked anew with the wax."""
        return (with_one_more(self.rules, on_trunk(flask.spots), key, flask.size) or {}).get(key)

    def at(self, key: str, label: str, spot: Place, size: str = "") -> tuple[Breach, ...]:
        """Return what keeps a wax from a spot while the others stand as they are.

        Parameters
        ----------
        key : str
            The wax.
        label : str
            The flask; empty for a new one of `size`.
        spot : Place
            Where it is held [mm, degrees]; on a tree a TreePlace.
        size : str
            The size of a new flask.

        Returns
        -------
        tuple of Breach
            Rules of the flask, then the clearances that the verifier finds missing at this spot. None: it may stand.
        """
        flask = self.named(label) or PlacedFlask("", size, ())
        found = self.breaches(key, label, size)
        tree = self.rules.bases[flask.size].trunk is not None
        if tree != isinstance(spot, TreePlace):
            return (*found, Breach(Rule.TIER, key))
        others = {one: at for one, at in flask.spots.items() if one != key}
        lacks = standing(self.rules, {**others, key: spot}, flask.size)
        return (*found, *(one for one in lacks if key in (one.key, one.other)))

    def _price(self, key: str, flask: PlacedFlask) -> Price:
        """What it costs to put a wax into a flask, beside the flask that it leaves."""
        here = self.flask_of(key)
        with_it = self.bill(flask.keys | {key}, flask.size)
        before = self.bill(flask.keys, flask.size) if flask.keys else NOTHING
        left = self.bill(here.keys - {key}, here.size) if here and len(here.keys) > 1 else None
        was = self.bill(here.keys, here.size) if here else NOTHING
        after = left or NOTHING
        more = (
            getattr(with_it, name) - getattr(before, name) + getattr(after, name) - getattr(was, name)
            for name in ("charge_g", "button_g", "powder_g", "cost")
        )
        return Price(with_it, left, Bill(*more))

    def bill(self, keys: frozenset[str], size: str) -> Bill:
        """Return what a flask of a size with these waxes takes.

        Parameters
        ----------
        keys : frozenset of str
            Its waxes, at least one.
        size : str
            Its size.

        Returns
        -------
        Bill
            Charge, button and powder [g], cost [currency], unrounded.
        """
        rules, length_mm = self.rules, None
        _, trunk_g, button_g = rules.parts_g(sorted(keys), size, length_mm)
        charge_g = rules.charge_g(sorted(keys), size)
        return Bill(charge_g, button_g + trunk_g, rules.powder_g[size], rules.cost(keys, size))

    def lift(self, key: str) -> tuple[PlacedFlask, ...]:
        """Return the flasks without a wax.

        Parameters
        ----------
        key : str
            The wax.

        Returns
        -------
        tuple of PlacedFlask
            The others stay, but for one that is then alone, which goes onto the axis, and the tiers of a tree, which
            are stacked anew. An emptied flask goes.
        """
        kept = ((flask, {one: at for one, at in flask.spots.items() if one != key}) for flask in self.flasks)
        return tuple(
            flask if key not in flask.keys else laid_out(flask, self._after(flask, spots))
            for flask, spots in kept
            if spots or key not in flask.keys
        )

    def _after(self, flask: PlacedFlask, spots: Mapping[str, Place]) -> Mapping[str, Place]:
        """The spots of a flask that a wax has left."""
        if self.rules.bases[flask.size].trunk is not None:
            return without(self.rules, on_trunk(spots), flask.size)
        if len(spots) == 1:
            return {key: Place(0.0, 0.0, at.turn_deg) for key, at in spots.items()}
        return spots


NOTHING = Bill(0.0, 0.0, 0.0, 0.0)


def on_trunk(spots: Mapping[str, Place]) -> dict[str, TreePlace]:
    """Return the spots of a tree.

    Parameters
    ----------
    spots : mapping of str to Place
        The spots of a flask [mm, degrees].

    Returns
    -------
    dict of str to TreePlace
        Those that are on a trunk: all of them, or none.
    """
    return {key: at for key, at in spots.items() if isinstance(at, TreePlace)}


def laid_out(flask: PlacedFlask, spots: Mapping[str, Place]) -> PlacedFlask:
    """Return a flask with its waxes at these spots.

    Parameters
    ----------
    flask : PlacedFlask
        The flask.
    spots : mapping of str to Place
        Every wax that it then has.

    Returns
    -------
    PlacedFlask
        Its waxes sorted by key.
    """
    return replace(flask, waxes=tuple(PlacedWax(key, spots[key]) for key in sorted(spots)))
