"""Feasibility of flasks: layouts, stock and kiln places, each searched for once and remembered."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from typing import Self

from casting.calc.geometry.infeasibility import cannot_share
from casting.calc.geometry.shapes import Base, TreeWax
from casting.calc.grouping.budget import FULL, SEEK, SEEK_HARD, SEEK_SURE
from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.grouping.solution import Flask, Flasks
from casting.calc.kiln.loading import ShelfFlask, firing_for, is_high_enough, load_kilns
from casting.calc.layout.around import find_around
from casting.calc.layout.search import find_layout, find_layouts
from casting.calc.layout.tree import find_tree, length_of
from casting.calc.values.day_input import DayInput
from casting.calc.values.day_plan import KilnPlace, Place, TreePlace
from casting.calc.values.enums import Kind

ROOMY = 0.65
"""Share of the kilns' floors that flasks with their gaps may fill for kiln places to be taken for granted.

Of 300 loads drawn from the shelves of invented days, all that filled less than 0.72 of the floors had places.
"""

Shelf = tuple[tuple[str, str, str], ...]
"""Sizes and kinds of the flasks of a load, and the kiln that each has to stand in, sorted."""


@dataclass(frozen=True, slots=True)
class SearchMode:
    """What the evaluator takes for granted, and how far it searches, while a heuristic fills flasks."""

    full: float = FULL
    """Occupancy beyond which a first try searches for no layout."""
    trusted: float = 0.0
    """Occupancy up to which a layout is taken for granted until a search for one fails."""
    kilns_trusted: bool = False
    """Whether a load that leaves much of the kilns empty has kiln places without a search."""
    quick: bool = False
    """Whether costly proofs and the longer search for kiln places are left out."""


class FlaskEvaluator:
    """Tells which flasks of a day are feasible: by its rules, by layouts found, by stock and by kiln places."""

    def __init__(self, day: DayInput, without: frozenset[str] = frozenset()) -> None:
        self.rules = FlaskRules(day)
        self.mode = SearchMode()
        self.stock = {size.key: 0 if size.key in without else size.count for size in day.flask_sizes}
        self.spent = 0
        self.weighed = 0
        self.refuted: dict[tuple[frozenset[str], str], bool] = {}
        self._layouts: dict[tuple[frozenset[str], Base], dict[str, Place]] = {}
        self._searched: dict[tuple[frozenset[str], Base], int] = {}
        self._given: dict[tuple[frozenset[str], str], Mapping[str, Place]] = {}
        self._around: dict[tuple[frozenset[str], str], tuple[Mapping[str, Place] | None, int]] = {}
        self._trees: dict[tuple[frozenset[str], str], Mapping[str, TreePlace] | None] = {}
        self._shelves: dict[tuple[Shelf, bool], tuple[KilnPlace, ...] | None] = {}

    def in_mode(self, mode: SearchMode) -> Self:
        """Return this evaluator in another mode: the same memory, a count of work of its own."""
        view = copy(self)
        view.mode = mode
        return view

    def spare(self, flasks: Iterable[Flask]) -> Mapping[str, int]:
        """Return how many flasks of each size these leave on the shelf."""
        used = Counter(flask.size for flask in flasks)
        return {size: max(0, count - used[size]) for size, count in self.stock.items()}

    def fits(self, keys: frozenset[str], size: str, work: int = SEEK) -> bool:
        """Return whether these waxes may share a flask of this size and a layout is known, found or trusted."""
        return self.rules.allows(keys, size) and (
            self._is_trusted(keys, size) or self.layout(keys, size, work) is not None
        )

    def _is_trusted(self, keys: frozenset[str], size: str) -> bool:
        """True if the mode takes a layout of these waxes for granted."""
        if self.has_spots(keys):
            return False
        searched = self._searched.get((keys, self.rules.bases[size]), -1)
        open_or_found = searched < SEEK_SURE or self.has_layout(keys, size)
        return open_or_found and 0 < self.occupancy(keys, size) <= self.mode.trusted

    def layout(self, keys: frozenset[str], size: str, work: int = SEEK) -> Mapping[str, Place] | None:
        """Return places for these waxes in this size; None if none was found, which proves nothing.

        Waxes with a spot that was given by hand stand there.
        """
        base = self.rules.bases[size]
        if (keys, size) in self._given:
            return self._given[keys, size]
        if base.trunk:
            return self._tree(keys, size)
        if self.has_spots(keys):
            return self._around_spots(keys, size, work)
        known = self._layouts.get((keys, base)) or self._within(keys, base)
        if known is not None or self._searched.get((keys, base), -1) >= work:
            return known
        names = sorted(keys)
        footprints = [self.rules.items[key].footprint for key in names]
        if self._hopeless(keys, size, work):
            return None
        if cannot_share(footprints, base, ring=not self.mode.quick or work > SEEK):
            self._searched[keys, base] = SEEK_HARD
            return None
        places = find_layout(footprints, base, work)
        self._searched[keys, base] = work
        if places is None:
            self.spent += work
            return None
        self.spent += 1
        self._layouts[keys, base] = dict(zip(names, places, strict=True))
        return self._layouts[keys, base]

    def give(self, places: Mapping[str, Place], size: str) -> None:
        """Take the layout of a flask as it was made by hand and checked."""
        self._given[frozenset(places), size] = places

    def has_spots(self, keys: frozenset[str]) -> bool:
        """Return whether the spot of one of these waxes was given by hand."""
        return not keys.isdisjoint(self.rules.spots)

    def _around_spots(self, keys: frozenset[str], size: str, work: int) -> Mapping[str, Place] | None:
        """Places for these waxes around those whose spots were given."""
        known, tried = self._around.get((keys, size), (None, -1))
        if known is None and tried < work:
            names = sorted(keys)
            stands = [self.rules.spots.get(key) for key in names]
            footprints = [self.rules.items[key].footprint for key in names]
            places = find_around(footprints, stands, self.rules.bases[size], work)
            known = None if places is None else dict(zip(names, places, strict=True))
            self.spent += 1 if known else work
            self._around[keys, size] = known, work
        return known

    def search_layouts(self, flasks: Iterable[Flask]) -> None:
        """Search briefly for the layouts that are not known yet, all in one batch."""
        names = [
            (sorted(flask.keys), self.rules.bases[flask.size])
            for flask in flasks
            if not self.rules.bases[flask.size].trunk
            and not self.has_spots(flask.keys)
            and not self.has_layout(flask.keys, flask.size)
        ]
        asked = [([self.rules.items[key].footprint for key in keys], base) for keys, base in names]
        for (keys, base), places in zip(names, find_layouts(asked), strict=True):
            if places is not None:
                self.spent += 1
                self._layouts[frozenset(keys), base] = dict(zip(keys, places, strict=True))

    def _tree(self, keys: frozenset[str], size: str) -> Mapping[str, TreePlace] | None:
        """Places on a tree whose trunk, as long as those places make it, keeps the charge within one melt."""
        if (keys, size) not in self._trees:
            names = sorted(keys)
            items = [self.rules.items[key] for key in names]
            waxes = [TreeWax(item.footprint, item.wax.height_mm, item.metal_g) for item in items]
            places = find_tree(waxes, self.rules.bases[size])
            self.spent += SEEK_SURE if places is None else 1
            melts = places is not None and self.rules.melts(names, size, length_of(places, self.rules.bases[size]))
            self._trees[keys, size] = dict(zip(names, places, strict=True)) if places and melts else None
        return self._trees[keys, size]

    def has_layout(self, keys: frozenset[str], size: str) -> bool:
        """Return whether a layout of these waxes in this size was found already, or given by hand."""
        return (
            (keys, self.rules.bases[size]) in self._layouts
            or (keys, size) in self._given
            or self._trees.get((keys, size)) is not None
            or self._around.get((keys, size), (None, 0))[0] is not None
        )

    def occupancy(self, keys: frozenset[str], size: str) -> float:
        """Return the share of a base that waxes take up, as a guess (`geometry.occupancy`) [pure ratio]; 0 for one."""
        return 0.0 if len(keys) < 2 else math.fsum(self.rules.shares(size)[key] for key in keys)

    def _within(self, keys: frozenset[str], base: Base) -> dict[str, Place] | None:
        """A layout of more waxes or on a narrower base, without the others: that breaks no clearance."""
        if len(keys) < 2:
            return None
        for (others, narrower), places in self._layouts.items():
            if keys <= others and narrower.diameter_mm <= base.diameter_mm and narrower.hub_mm <= base.hub_mm:
                self._layouts[keys, base] = {key: places[key] for key in sorted(keys)}
                return self._layouts[keys, base]
        return None

    def _hopeless(self, keys: frozenset[str], size: str, work: int) -> bool:
        """True if the base would be too full, or a search failed for no larger waxes on a base no narrower."""
        if work > SEEK:
            return False
        count, shape, base = len(keys), self._shape(keys), self.rules.bases[size]
        return self.occupancy(keys, size) > self.mode.full or any(
            len(fewer) <= count
            and (fewer, wider) not in self._layouts
            and wider.diameter_mm >= base.diameter_mm
            and wider.hub_mm >= base.hub_mm
            and all(
                mine[0] <= long + 1e-9 and mine[1] <= short + 1e-9
                for mine, (long, short) in zip(self._shape(fewer), shape, strict=False)
            )
            for fewer, wider in self._searched
        )

    def _shape(self, keys: frozenset[str]) -> list[tuple[float, float]]:
        """Half of the long and short sides, longest first [mm]."""
        footprints = [self.rules.items[key].footprint for key in keys]
        return sorted(((one.half_long_mm, one.half_short_mm) for one in footprints), reverse=True)

    def kiln_takes(self, flasks: Iterable[Flask]) -> bool:
        """Return whether a place in the kilns is found or trusted for each of these flasks."""
        shelf = tuple(sorted(self._stood(flask) for flask in flasks))
        trusted = self.mode.kilns_trusted and self._is_roomy(shelf)
        return trusted or self._shelf(shelf, hard=not self.mode.quick) is not None

    def kiln_places(self, flasks: Sequence[Flask]) -> list[KilnPlace] | None:
        """Return the kiln places of these flasks in their order; None if not all have one."""
        order = sorted(
            range(len(flasks)),
            key=lambda i: (*self._stood(flasks[i]), sorted(flasks[i].keys)),
        )
        shelf = tuple(self._stood(flasks[i]) for i in order)
        places = self._shelf(shelf)
        if places is None:
            return None
        by_flask = dict(zip(order, places, strict=True))
        return [by_flask[i] for i in range(len(flasks))]

    def _stood(self, flask: Flask) -> tuple[str, str, str]:
        """A flask as a load names it; a fixed one stays in its kiln."""
        before = self.rules.day.previous.get(flask.label) if flask.label in self.rules.day.fixed else None
        return flask.size, self.rules.kind(flask.keys).value, before.kiln if before else ""

    def _shelf(self, shelf: Shelf, *, hard: bool = True) -> tuple[KilnPlace, ...] | None:
        if (shelf, hard) not in self._shelves:
            day, flasks = self.rules.day, self._on_shelf(shelf)
            places = load_kilns(day.kilns, day.firings, day.rules, flasks, hard=hard)
            self._shelves[shelf, hard] = None if places is None else tuple(places[flask.label] for flask in flasks)
        return self._shelves[shelf, hard]

    def _on_shelf(self, shelf: Shelf) -> list[ShelfFlask]:
        flasks = []
        for number, (key, kind, kiln) in enumerate(shelf):
            size = self.rules.sizes[key]
            flasks.append(ShelfFlask(str(number), size.outside_mm, size.diameter_mm, size.height_mm, Kind(kind), kiln))
        return flasks

    def _is_roomy(self, shelf: Shelf) -> bool:
        """True if flasks that every kiln takes in one firing fill little of the kilns; a guess."""
        day, flasks = self.rules.day, self._on_shelf(shelf)
        gap_mm = day.rules.kiln_gap_mm
        filled_mm2 = sum((flask.outside_mm + gap_mm) ** 2 for flask in flasks) * math.pi / 4
        floors = (
            [side - 2 * kiln.wall_gap_mm + gap_mm for side in (kiln.width_mm, kiln.depth_mm)] for kiln in day.kilns
        )
        return (
            filled_mm2 <= ROOMY * sum(math.prod(sides) for sides in floors)
            and not any(flask.kiln for flask in flasks)
            and firing_for([one for one in day.firings if all(kiln.reaches(one) for kiln in day.kilns)], flasks)
            is not None
            and all(is_high_enough(kiln, day.rules, flask.height_mm) for kiln in day.kilns for flask in flasks)
        )

    def kiln_room_for(self, key: str, size: str, flasks: Flasks) -> bool:
        """Return whether the kilns take one more flask of a size with this wax in it."""
        return self.kiln_takes((*flasks, Flask(size, frozenset([key]))))

    def is_feasible(self, flasks: Flasks) -> bool:
        """Return whether stock and kilns suffice for these flasks."""
        used = Counter(flask.size for flask in flasks if not flask.fixed)
        spare = self.spare(flask for flask in flasks if flask.fixed)
        return all(count <= spare[size] for size, count in used.items()) and self.kiln_takes(flasks)

    def cost_of(self, flasks: Iterable[Flask]) -> float:
        """Return what these flasks cost, unrounded, a tree with the trunk of its layout [currency]."""
        return sum(sorted(self.rules.cost(flask.keys, flask.size, self._trunk_mm(flask)) for flask in flasks))

    def total_cost(self, flasks: Iterable[Flask]) -> float:
        """Return what these flasks cost, to 0.01 [currency]."""
        return round(self.cost_of(flasks), 2)

    def _trunk_mm(self, flask: Flask) -> float | None:
        """Length of a flask's trunk in the layout found [mm]; None on a cone."""
        places = self.layout(flask.keys, flask.size) if self.rules.bases[flask.size].trunk else None
        return length_of(places.values(), self.rules.bases[flask.size]) if places else None
