"""The rules for sharing a flask that need no layout, and the figures of waxes and sizes that they use."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from casting.calc.geometry.from_day import base_of, footprint_of, room_above_mm
from casting.calc.geometry.infeasibility import cannot_fit_alone, cannot_share
from casting.calc.geometry.occupancy import shares
from casting.calc.geometry.shapes import Footprint
from casting.calc.quantities.charge import button_of, charge_of, fits_crucible, metal_of_wax, trunk_of
from casting.calc.quantities.cost import flask_cost
from casting.calc.quantities.investment import powder_for
from casting.calc.values.day_input import DayInput, FlaskSize, Wax
from casting.calc.values.day_plan import Place
from casting.calc.values.enums import Kind, Section, Stones
from casting.calc.values.tolerances import SLACK

Family = tuple[str, str, str]
"""Alloy, owner and, unless kinds mix, kind; stones never mix. Two families never share a flask (incompatible jobs)."""


@dataclass(frozen=True, slots=True)
class Item:
    """A wax with the figures that the search needs: metal without button [g], section as a step, family."""

    wax: Wax
    metal_g: float
    kind: Kind
    step: int
    family: Family
    footprint: Footprint

    @property
    def key(self) -> str:
        """The wax's key."""
        return self.wax.key

    @property
    def area_mm2(self) -> float:
        """Area of its rectangle seen from above [mm2]."""
        return self.wax.width_mm * self.wax.depth_mm


def _kept_in_placed(day: DayInput) -> DayInput:
    """The day with the waxes of flasks that are open, but made by hand, held for them."""
    kept = {key: flask.label for flask in day.placed if not flask.whole for key in flask.keys}
    return replace(day, held={**day.held, **kept}) if kept else day


class FlaskRules:
    """The rules of one day, and each figure of its waxes and sizes computed once."""

    def __init__(self, day: DayInput) -> None:
        self.day = _kept_in_placed(day)
        self.spots: Mapping[str, Place] = {key: spot for one in day.placed for key, spot in one.spots.items()}
        self.size_of = {key: flask.size for flask in day.placed for key in flask.keys}
        self.sizes: Mapping[str, FlaskSize] = {size.key: size for size in day.flask_sizes}
        self.bases = {key: base_of(size, day.rules) for key, size in self.sizes.items()}
        self.powder_g = {key: powder_for(size, day.investment) for key, size in self.sizes.items()}
        self.items = {wax.key: self._item(wax) for wax in sorted(day.waxes, key=lambda wax: wax.key)}
        self._shares: dict[str, Mapping[str, float]] = {}
        self._apart: dict[tuple[str, str, str], bool] = {}

    def _item(self, wax: Wax) -> Item:
        kind = self.day.patterns[wax.pattern].kind if wax.stones is Stones.NONE else Kind.STONES
        mixes = self.day.rules.mix_pattern_kinds and kind is not Kind.STONES
        family = (wax.alloy, wax.owner, "" if mixes else kind.value)
        metal_g = metal_of_wax(wax, self.day)
        return Item(wax, metal_g, kind, wax.section.step, family, footprint_of(wax, self.day))

    @cached_property
    def high_enough(self) -> Mapping[str, tuple[str, ...]]:
        """The sizes that are high enough for each wax."""
        return {
            key: tuple(size.key for size in self.day.flask_sizes if item.wax.height_mm <= room_above_mm(size) + SLACK)
            for key, item in self.items.items()
        }

    @cached_property
    def wide_enough(self) -> Mapping[str, tuple[str, ...]]:
        """The sizes that are high enough for each wax and wide enough for its rectangle alone."""
        return {
            key: tuple(size for size in self.high_enough[key] if not cannot_fit_alone(item.footprint, self.bases[size]))
            for key, item in self.items.items()
        }

    @cached_property
    def alone(self) -> Mapping[str, tuple[str, ...]]:
        """The sizes that take each wax alone, stock and kilns aside; of one in a placed flask, that flask's."""
        return {
            key: tuple(
                size
                for size in self.wide_enough[key]
                if self.size_of.get(key, size) == size and self.melts([key], size)
            )
            for key in self.items
        }

    def apart(self, one: str, other: str, size: str) -> bool:
        """Return whether it is proved that two waxes share no flask of this size."""
        pair = (one, other, size) if one < other else (other, one, size)
        if pair not in self._apart:
            footprints = [self.items[key].footprint for key in pair[:2]]
            self._apart[pair] = cannot_share(footprints, self.bases[size])
        return self._apart[pair]

    def shares(self, size: str) -> Mapping[str, float]:
        """Return the share of a base of this size that each wax takes up, as a guess (`geometry.occupancy.shares`)."""
        if size not in self._shares:
            found = shares([item.footprint for item in self.items.values()], self.bases[size])
            self._shares[size] = dict(zip(self.items, found.tolist(), strict=True))
        return self._shares[size]

    def trunk_g(self, keys: Iterable[str], size: str, length_mm: float | None = None) -> float:
        """Return the metal of the trunk below these waxes, the shortest unless a length is given; 0 on a cone [g]."""
        trunk = self.bases[size].trunk
        if trunk is None:
            return 0.0
        alloy = self.day.alloys[self.items[min(keys)].wax.alloy]
        return trunk_of(trunk.thick_mm, trunk.gap_mm if length_mm is None else length_mm, alloy.specific_gravity)

    def parts_g(self, keys: Iterable[str], size: str, length_mm: float | None = None) -> tuple[float, float, float]:
        """Return the metal of a flask's waxes, trunk and button, unrounded [g].

        Without the length of a layout, the trunk is the shortest one: rules and bounds then never count
        more metal, or a higher cost, than a tree must have.
        """
        waxes = list(keys)
        items = [self.items[key] for key in waxes]
        heaviest = list(Section)[max(item.step for item in items)]
        metal_g = sum(sorted(item.metal_g for item in items))
        trunk_g = self.trunk_g(waxes, size, length_mm)
        alloy = self.day.alloys[items[0].wax.alloy]
        return metal_g, trunk_g, button_of(metal_g + trunk_g, heaviest, self.sizes[size], alloy, self.day.rules)

    def button_g(self, keys: Iterable[str], size: str) -> float:
        """Return the button of a flask with these waxes, unrounded [g]."""
        return self.parts_g(keys, size)[2]

    def charge_g(self, keys: Iterable[str], size: str, length_mm: float | None = None) -> float:
        """Return the charge of a flask with these waxes, in whole steps of the scale [g]."""
        metal_g, trunk_g, button_g = self.parts_g(keys, size, length_mm)
        return charge_of(metal_g + trunk_g, button_g, self.day.rules)

    def melts(self, keys: Iterable[str], size: str, length_mm: float | None = None) -> bool:
        """Return whether one melt holds the charge of these waxes in this size."""
        waxes = list(keys)
        alloy = self.day.alloys[self.items[waxes[0]].wax.alloy]
        return fits_crucible(self.charge_g(waxes, size, length_mm), alloy, self.day.rules)

    def together(self, keys: Iterable[str]) -> bool:
        """Return whether these waxes are of one family and of sections near enough to each other."""
        items = [self.items[key] for key in keys]
        steps = [item.step for item in items]
        return (
            len({item.family for item in items}) == 1
            and max(steps) - min(steps) <= self.day.rules.sections_may_differ_by
        )

    def allows(self, keys: frozenset[str], size: str) -> bool:
        """Return whether these waxes may share a flask of this size by every rule but the layout."""
        return (
            len(keys) <= self.sizes[size].waxes_max
            and all(size in self.alone[key] for key in keys)
            and self.together(keys)
            and self.melts(keys, size)
        )

    def kind(self, keys: Iterable[str]) -> Kind:
        """Return what burns out of a flask: resin if any of its waxes is resin; stones share no flask."""
        kinds = {self.items[key].kind for key in keys}
        return next(kind for kind in (Kind.STONES, Kind.RESIN, Kind.WAX) if kind in kinds)

    def cost(self, keys: frozenset[str], size: str, length_mm: float | None = None) -> float:
        """Return the cost of a flask (`quantities.cost`), on the shortest trunk unless a length is given [currency]."""
        items = [self.items[key] for key in keys]
        alloy, mixed = self.day.alloys[items[0].wax.alloy], len({item.step for item in items}) > 1
        _, trunk_g, button_g = self.parts_g(keys, size, length_mm)
        scrap_g = button_g + trunk_g
        return flask_cost(self.powder_g[size], scrap_g, alloy, self.day.investment, self.day.rules, mixed=mixed)
