"""What a page or a paper shows of a plan: its flasks, bowls, kilns and steps, and which of it is done already."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from itertools import product
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from casting.calc.geometry.shapes import Footprint
from casting.calc.quantities.investment import slurry_ml_per_g, volume_ml
from casting.calc.quantities.lookup import up_to_step
from casting.calc.values.day_input import Alloy, DayInput, FlaskSize, Investment, Kiln, Rules, Wax
from casting.calc.values.day_plan import Place, TreePlace
from casting.calc.values.enums import Do, Kind, Section
from casting.calc.values.tolerances import SLACK
from casting.presenters.clock_change import ClockChange, changes_among
from casting.presenters.formats import add_up, rounded
from casting.presenters.mishap_told import ToldMishap
from casting.presenters.sheet_values import MetalLine, Part, TrunkLine
from casting.selectors.mounted import MountedCharge

File = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class WaxName:
    """A wax by name: its tag, its student, its piece."""

    tag: str
    student: str
    piece: str


@dataclass(frozen=True, slots=True)
class WaxOnBase:
    """A wax with its place on the sprue base, its materials and the metal that replaces it."""

    wax: Wax
    name: WaxName
    place: Place
    parts: tuple[Part, ...]
    metal_g: float
    beyond_reach_mm: float = 0.0
    """How far its foot stands beyond the sprue's reach, as the teacher allowed."""
    reach_reason: str = ""


@dataclass(frozen=True, slots=True)
class Tier:
    """The waxes round a trunk at one height; tier 1 is nearest the button."""

    number: int
    z_mm: float
    waxes: tuple[WaxOnBase, ...]

    @property
    def top_mm(self) -> float:
        """The top of its tallest wax, over the flask's open end."""
        return self.z_mm + max(on_base.wax.height_mm for on_base in self.waxes)


def tiers_of(waxes: Sequence[WaxOnBase]) -> tuple[Tier, ...]:
    """Return the tiers of a tree, from the button up; none on a cone."""
    rings: dict[tuple[int, float], list[WaxOnBase]] = {}
    for on_base in waxes:
        if isinstance(on_base.place, TreePlace):
            rings.setdefault((on_base.place.tier, on_base.place.z_mm), []).append(on_base)
    return tuple(Tier(*ring, tuple(inside)) for ring, inside in sorted(rings.items(), key=lambda item: item[0]))


def outline_of(on_base: WaxOnBase) -> Footprint:
    """Return a wax seen from above; its wall is not asked for."""
    return Footprint(on_base.wax.width_mm, on_base.wax.depth_mm, 0.0)


@dataclass(frozen=True, slots=True)
class Button:
    """How a button came about: the larger of a share of the metal and a mass by width."""

    share_pct: float
    share_g: float
    by_width_g: float

    @property
    def by_share(self) -> bool:
        """True if the share is the larger."""
        return self.share_g > self.by_width_g


@dataclass(frozen=True, slots=True)
class Working:
    """How the charge of a flask comes about, to 0.01 g as it is printed: the parts add up to `bare_g`.

    `mounted_g` is the metal in place of a finished base that was weighed; it counts in place of waxes and trunk.
    """

    waxes: tuple[tuple[WaxOnBase, Decimal], ...]
    trunk_g: Decimal | None
    button_g: Decimal
    mounted_g: Decimal | None = None

    @property
    def metal_g(self) -> Decimal:
        """The metal of all waxes."""
        return sum((metal_g for _on_base, metal_g in self.waxes), Decimal(0))

    @property
    def bare_g(self) -> Decimal:
        """Metal, trunk and button, before the step of the scale."""
        metal_g = self.metal_g + (self.trunk_g or 0) if self.mounted_g is None else self.mounted_g
        return metal_g + self.button_g


@dataclass(frozen=True, slots=True)
class FlaskSheet:
    """One flask with everything that is drawn and weighed out for it."""

    label: str
    size: FlaskSize
    alloy: Alloy
    investment: Investment
    rules: Rules
    owner: str | None
    section: Section
    kind: Kind
    waxes: tuple[WaxOnBase, ...]
    wax_metal_g: float
    button_g: float
    button: Button
    charge_g: float
    powder_g: int
    water_g: float
    flask_c: int
    pour_c: float
    kiln: str
    kiln_x_mm: float
    kiln_y_mm: float
    out_at: datetime
    quench_at: datetime
    gap_mm: float | None
    to_wall_mm: float
    trunk: TrunkLine | None = None
    invested: bool = False
    poured: bool = False
    quenched: bool = False
    given_back: bool = False
    kiln_named: str = ""  # What its kiln is called, where the plan fires more than one.
    mounted: MountedCharge | None = None  # What its finished base weighed; button and charge follow from it.
    mishap: ToldMishap | None = None  # What went wrong with it.

    @property
    def is_lost(self) -> bool:
        """Whether it is not poured, though the plan has its pour: something went wrong with it before."""
        return self.mishap is not None and self.mishap.not_poured

    @property
    def to_pour(self) -> bool:
        """Whether its pour is still to come."""
        return not self.poured and not self.is_lost

    @property
    def over_word(self) -> str:
        """Why its pour is not to come any more, in a word."""
        return _("lost") if self.is_lost else _("poured")

    @property
    def working(self) -> Working:
        """How the charge comes about: as read elsewhere, unless that sum would round up to another charge."""
        trunk_g = [self.trunk.metal_g] if self.trunk else []
        slips_g = [*(on_base.metal_g for on_base in self.waxes), *trunk_g]
        parts = [*([self.mounted.wax.metal_g] if self.mounted else slips_g), self.button_g]
        printed = [rounded(part_g) for part_g in parts]
        if abs(up_to_step(float(sum(printed)), self.rules.charge_step_g) - self.charge_g) > SLACK:
            printed = add_up(parts, self.bare_g)
        *metal_g, button_g = printed
        mounted_g = None
        if self.mounted:
            mounted_g, metal_g = metal_g[0], [rounded(part_g) for part_g in slips_g]
        waxes = tuple(zip(self.waxes, metal_g, strict=False))
        return Working(waxes, metal_g[-1] if self.trunk else None, button_g, mounted_g)

    @property
    def bare_g(self) -> float:
        """Metal, trunk and button, before the step of the scale."""
        if self.mounted:
            return self.mounted.wax.metal_g + self.button_g
        return self.wax_metal_g + (self.trunk.metal_g if self.trunk else 0.0) + self.button_g

    @property
    def tiers(self) -> tuple[Tier, ...]:
        """The tiers of a tree, from the button up; none on a cone."""
        return tiers_of(self.waxes)

    @property
    def cools_in_air(self) -> bool:
        """Whether stones are left in it, so that it meets no water until it is cold."""
        return self.kind is Kind.STONES

    @property
    def wall_mm(self) -> float:
        """The least clearance of a wax from the wall [mm]."""
        return self.rules.resin_wall_mm if self.kind is Kind.RESIN else self.rules.wall_mm

    @property
    def over_mm(self) -> float:
        """Investment over the tallest wax, up to the rim, or to where a perforated flask is filled."""
        top_mm = min(self.size.height_mm, self.size.filled_mm[1])
        if self.tiers:
            return top_mm - max(tier.top_mm for tier in self.tiers)
        tallest = max(on_base.wax.height_mm for on_base in self.waxes)
        return top_mm - self.size.base_mm - tallest

    @property
    def flask_ml(self) -> float:
        """The volume that investment fills in the empty flask [ml]."""
        return volume_ml(*self.size.filled_mm)

    @property
    def slurry_ml_per_g(self) -> float:
        """Slurry from a gram of powder with its water."""
        return slurry_ml_per_g(self.investment)


@dataclass(frozen=True, slots=True)
class SegmentLine:
    """A ramp and its hold, as it will run; `mark` stands after its figures. What is `over` lies before now."""

    ramp_c_per_h: float
    from_c: float
    to_c: float
    hold_min: int
    starts_at: datetime
    reached_at: datetime
    ends_at: datetime
    mark: str = ""
    over: bool = False

    @property
    def cooling(self) -> bool:
        """True if the kiln falls."""
        return self.to_c < self.from_c

    @property
    def level(self) -> bool:
        """True if it only goes on holding what it has reached."""
        return self.to_c == self.from_c


@dataclass(frozen=True, slots=True)
class KilnNight:
    """One kiln: its shelf and its firing; `on_since` is when somebody noted that it is on."""

    kiln: Kiln
    firing: str
    on_at: datetime
    segments: tuple[SegmentLine, ...]
    flasks: tuple[FlaskSheet, ...]
    on_since: datetime | None = None

    @property
    def named(self) -> str:
        """The kiln's name as the school wrote it; only a name of ours is given its capital."""
        return self.kiln.name or capfirst(self.kiln.called)

    @property
    def is_on(self) -> bool:
        """Whether somebody noted that it is on, or poured a flask from it."""
        return self.on_since is not None or any(flask.poured for flask in self.flasks)


@dataclass(frozen=True, slots=True)
class StepLine:
    """One step; `done` are the flasks that need it no more."""

    at: datetime
    until: datetime
    do: Do
    flasks: tuple[str, ...]
    kiln: str | None
    say: str
    done: tuple[str, ...] = ()

    @property
    def all_done(self) -> bool:
        """True if none of its flasks needs it any more."""
        return bool(self.flasks) and self.done == self.flasks


@dataclass(frozen=True, slots=True)
class BowlLine:
    """One bowl of investment; its times are None when it was mixed before this plan."""

    flasks: tuple[str, ...]
    powder_g: int
    water_g: float
    at: datetime | None
    until: datetime | None
    invested: tuple[str, ...] = ()

    @property
    def done(self) -> bool:
        """True if all its flasks are invested: nobody mixes it again."""
        return self.invested == self.flasks


@dataclass(frozen=True, slots=True)
class LeftOutLine:
    """A wax left out, by its key in the day file and by name, with its reason and what would let it in."""

    key: str
    name: WaxName
    reason: str
    detail: str
    cure: str | None


@dataclass(frozen=True, slots=True)
class PlanSheet:
    """A whole plan, ready to be shown."""

    zone: ZoneInfo
    pour_at: datetime
    day: DayInput
    flasks: tuple[FlaskSheet, ...]
    bowls: tuple[BowlLine, ...]
    left_out: tuple[LeftOutLine, ...]
    totals: File
    proof: File
    kilns: tuple[KilnNight, ...]
    steps: tuple[StepLine, ...]
    cautions: Sequence[File]

    @property
    def clock_changes(self) -> tuple[ClockChange, ...]:
        """The clock changes between the first step and the last quench."""
        steps = [at for step in self.steps for at in (step.at, step.until)]
        kilns = [at for night in self.kilns for at in (night.on_at, night.segments[-1].ends_at)]
        return changes_among([*steps, *kilns, *(flask.quench_at for flask in self.flasks)], self.zone)

    @property
    def wax_count(self) -> int:
        """The number of waxes in flasks."""
        return sum(len(flask.waxes) for flask in self.flasks)

    @property
    def metals(self) -> tuple[MetalLine, ...]:
        """Each metal of the school's, then those that students bring; what has been poured is not weighed out again."""
        lines: list[MetalLine] = []
        for own, key in product((False, True), self.totals["charge_g"]):
            of = [flask for flask in self.flasks if flask.alloy.key == key and (flask.owner is not None) is own]
            waiting, poured = [one for one in of if one.to_pour], [one for one in of if one.poured]
            left_g, poured_g = (round(math.fsum(one.charge_g for one in some), 6) for some in (waiting, poured))
            gone = [one for one in of if one.is_lost]
            left, done, lost = (tuple(sorted(one.label for one in some)) for some in (waiting, poured, gone))
            lines += [MetalLine(one.alloy.name, left_g, poured_g, done, left if own else (), lost) for one in of[:1]]
        return tuple(lines)

    @property
    def mixed(self) -> tuple[BowlLine, ...]:
        """The bowls whose flasks are all invested."""
        return tuple(bowl for bowl in self.bowls if bowl.done)

    @property
    def powder_to_fetch_g(self) -> int:
        """The powder of the bowls that are not mixed yet."""
        return int(self.totals["powder_g"]) - sum(bowl.powder_g for bowl in self.mixed)

    @property
    def water_to_fetch_g(self) -> float:
        """The water of the bowls that are not mixed yet."""
        return round(float(self.totals["water_g"]) - math.fsum(bowl.water_g for bowl in self.mixed), 1)

    def steps_of(self, *kinds: Do) -> tuple[StepLine, ...]:
        """The steps of these kinds, in order."""
        return tuple(step for step in self.steps if step.do in kinds)

    def flask(self, label: str) -> FlaskSheet:
        """The flask of that label; KeyError if there is none."""
        return {flask.label: flask for flask in self.flasks}[label]
