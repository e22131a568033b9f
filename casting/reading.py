"""A stored plan file and its day file, read as the values that a page or a paper shows.

Nothing is planned here: figures and times are the plan's own, and the working beside a
figure is built from the day file that the plan was made from.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from casting.calc.charge import STERLING_SG, by_diameter
from casting.calc.day import Alloy, DayInput, FlaskSize, Investment, Kiln, Rules
from casting.calc.investment import slurry_ml_per_g, volume_ml
from casting.calc.result import Place, TreePlace
from casting.calc.words import Do, Kind, Section
from casting.dayfile import read
from casting.on_base import Named, Part, Tier, TrunkLine, WaxOnBase, gaps_of, tiers_of

__all__ = [
    "BowlLine",
    "Button",
    "FlaskSheet",
    "KilnNight",
    "LeftOutLine",
    "Named",
    "Part",
    "PlanSheet",
    "SegmentLine",
    "StepLine",
    "Tier",
    "TrunkLine",
    "WaxOnBase",
    "read_plan",
]

ROOM_C = 20
"""A kiln is this warm when it goes on."""

File = Mapping[str, Any]


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

    @property
    def bare_g(self) -> float:
        """Metal, trunk and button, before the step of the scale."""
        return self.wax_metal_g + (self.trunk.metal_g if self.trunk else 0.0) + self.button_g

    @property
    def tiers(self) -> tuple[Tier, ...]:
        """The tiers of a tree, from the button up; none on a cone."""
        return tiers_of(self.waxes)

    @property
    def wall_mm(self) -> float:
        """What a wax must keep from the wall."""
        return self.rules.resin_wall_mm if self.kind is Kind.RESIN else self.rules.wall_mm

    @property
    def over_mm(self) -> float:
        """Investment over the tallest wax, up to the rim."""
        if self.tiers:
            return self.size.height_mm - max(tier.top_mm for tier in self.tiers)
        tallest = max(on_base.wax.height_mm for on_base in self.waxes)
        return self.size.height_mm - self.size.base_mm - tallest

    @property
    def flask_ml(self) -> float:
        """What the empty flask holds."""
        return volume_ml(self.size.diameter_mm, self.size.height_mm)

    @property
    def slurry_ml_per_g(self) -> float:
        """Slurry from a gram of powder with its water."""
        return slurry_ml_per_g(self.investment)


@dataclass(frozen=True, slots=True)
class SegmentLine:
    """A ramp and its hold, as it will run."""

    ramp_c_per_h: float
    from_c: float
    to_c: float
    hold_min: int
    starts_at: datetime
    reached_at: datetime
    ends_at: datetime

    @property
    def cooling(self) -> bool:
        """True if the kiln falls."""
        return self.to_c < self.from_c


@dataclass(frozen=True, slots=True)
class KilnNight:
    """One kiln: its shelf and its firing."""

    kiln: Kiln
    firing: str
    on_at: datetime
    segments: tuple[SegmentLine, ...]
    flasks: tuple[FlaskSheet, ...]


@dataclass(frozen=True, slots=True)
class StepLine:
    """One step; `new_day` when the one before it was on another day."""

    at: datetime
    until: datetime
    do: Do
    flasks: tuple[str, ...]
    kiln: str | None
    say: str
    new_day: bool

    @property
    def earliest(self) -> bool:
        """True if its time is one that it must not come before: the button may glow longer."""
        return self.do in (Do.QUENCH, Do.DIVEST)


@dataclass(frozen=True, slots=True)
class BowlLine:
    """One bowl of investment; its times are None when it was mixed before this plan."""

    flasks: tuple[str, ...]
    powder_g: int
    water_g: float
    at: datetime | None
    until: datetime | None


@dataclass(frozen=True, slots=True)
class LeftOutLine:
    """A wax left out, by name, with its reason and what would let it in."""

    name: Named
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
    def clocks_change(self) -> bool:
        """True if the clocks change between the first step and the last."""
        return len({step.at.utcoffset() for step in self.steps}) > 1

    @property
    def wax_count(self) -> int:
        """Waxes that stand in a flask."""
        return sum(len(flask.waxes) for flask in self.flasks)

    @property
    def charges(self) -> tuple[tuple[str, float], ...]:
        """Each metal by its name, with what to weigh out of it in all."""
        charges = self.totals["charge_g"]
        return tuple((self.day.alloys[key].name, charge_g) for key, charge_g in charges.items())

    def steps_of(self, *kinds: Do) -> tuple[StepLine, ...]:
        """The steps of these kinds, in order."""
        return tuple(step for step in self.steps if step.do in kinds)

    def flask(self, label: str) -> FlaskSheet:
        """The flask of that label; KeyError if there is none."""
        for flask in self.flasks:
            if flask.label == label:
                return flask
        raise KeyError(label)


def read_plan(plan_file: str, day_file: str, names: Mapping[str, Named] | None = None) -> PlanSheet:
    """Return a stored plan as values to show.

    `names` says what people call each wax, by its key; without it, what the day file knows.
    """
    plan: File = json.loads(plan_file)
    opened = read(day_file)
    reader = _Reader(opened.day, names or {})
    flasks = tuple(reader.flask(flask) for flask in plan["flasks"])
    steps = _steps(plan["steps"])
    return PlanSheet(
        zone=opened.zone,
        pour_at=opened.pour_at.astimezone(opened.zone),
        day=opened.day,
        flasks=tuple(sorted(flasks, key=lambda flask: flask.out_at)),
        bowls=_bowls(plan["bowls"], steps),
        left_out=tuple(reader.left_out(row) for row in plan["left_out"]),
        totals=plan["totals"],
        proof=plan["proof"],
        kilns=tuple(reader.night(night, flasks) for night in plan["firings"]),
        steps=steps,
        cautions=plan["cautions"],
    )


@dataclass(frozen=True, slots=True)
class _Reader:
    """Looks up a plan's keys in its day."""

    day: DayInput
    names: Mapping[str, Named]

    def name(self, key: str) -> Named:
        wax = self.day.wax(key)
        return self.names.get(key) or Named(key, wax.student, "")

    def left_out(self, row: File) -> LeftOutLine:
        return LeftOutLine(self.name(row["key"]), row["reason"], row["detail"], row["cure"])

    def wax(self, row: File) -> WaxOnBase:
        wax = self.day.wax(row["key"])
        of = [(wax.wax_g, wax.pattern)]
        if wax.sprue_g and wax.sprue_pattern:
            of = [(wax.wax_g - wax.sprue_g, wax.pattern), (wax.sprue_g, wax.sprue_pattern)]
        patterns = self.day.patterns
        parts = [Part(part_g, patterns[key].specific_gravity, patterns[key].kind) for part_g, key in of]
        place = Place(row["x_mm"], row["y_mm"], row["turn_deg"])
        if "tier" in row:
            place = TreePlace(row["x_mm"], row["y_mm"], row["turn_deg"], row["z_mm"], row["tier"])
        return WaxOnBase(wax, self.name(wax.key), place, tuple(parts), row["metal_g"])

    def owner(self, owner: str, waxes: Sequence[WaxOnBase]) -> str | None:
        """The student whose metal it is, as people call them; None for the school's."""
        theirs = [on_base.name.student for on_base in waxes if on_base.wax.owner == owner != "school"]
        return theirs[0] if theirs else None

    def flask(self, row: File) -> FlaskSheet:
        day, rules = self.day, self.day.rules
        waxes = tuple(self.wax(wax) for wax in row["waxes"])
        size, alloy, kind = day.size(row["size"]), day.alloys[row["alloy"]], Kind(row["kind"])
        share_pct = rules.button_pct[max((on_base.wax.section for on_base in waxes), key=lambda s: s.step)]
        fixed_g = by_diameter(rules.button_g_by_diameter, size.diameter_mm)
        gap_mm, to_wall_mm = gaps_of(waxes, size, rules)
        trunk = self.trunk(row, size)
        return FlaskSheet(
            label=row["label"],
            size=size,
            alloy=alloy,
            investment=day.investment,
            rules=rules,
            owner=self.owner(row["owner"], waxes),
            section=Section(row["section"]),
            kind=kind,
            waxes=waxes,
            wax_metal_g=row["wax_metal_g"],
            button_g=row["button_g"],
            button=Button(
                share_pct,
                (row["wax_metal_g"] + (trunk.metal_g if trunk else 0.0)) * share_pct / 100,
                fixed_g * alloy.specific_gravity / STERLING_SG,
            ),
            charge_g=row["charge_g"],
            powder_g=row["powder_g"],
            water_g=row["water_g"],
            flask_c=row["flask_c"],
            pour_c=row["pour_c"],
            kiln=row["kiln"],
            kiln_x_mm=row["kiln_x_mm"],
            kiln_y_mm=row["kiln_y_mm"],
            out_at=datetime.fromisoformat(row["out_at"]),
            quench_at=datetime.fromisoformat(row["quench_at"]),
            gap_mm=gap_mm,
            to_wall_mm=to_wall_mm,
            trunk=trunk,
        )

    def trunk(self, row: File, size: FlaskSize) -> TrunkLine | None:
        """The trunk of a tree; None on a cone."""
        if size.trunk_mm is None:
            return None
        highest_mm = max(wax["z_mm"] for wax in row["waxes"])
        return TrunkLine(size.trunk_mm, highest_mm - size.base_mm, row["trunk_g"])

    def night(self, row: File, flasks: Sequence[FlaskSheet]) -> KilnNight:
        kiln = next(kiln for kiln in self.day.kilns if kiln.key == row["kiln"])
        segments, from_c = [], float(ROOM_C)
        for segment in row["segments"]:
            times = [datetime.fromisoformat(segment[key]) for key in ("starts_at", "reached_at", "ends_at")]
            segments.append(SegmentLine(segment["ramp_c_per_h"], from_c, segment["to_c"], segment["hold_min"], *times))
            from_c = segment["to_c"]
        inside = tuple(flask for flask in flasks if flask.kiln == kiln.key)
        return KilnNight(kiln, row["firing"], datetime.fromisoformat(row["on_at"]), tuple(segments), inside)


def _steps(rows: Sequence[File]) -> tuple[StepLine, ...]:
    lines, before = [], None
    for row in rows:
        at = datetime.fromisoformat(row["at"])
        until = datetime.fromisoformat(row["until"])
        new_day = at.date() != before
        lines.append(StepLine(at, until, Do(row["do"]), tuple(row["flasks"]), row["kiln"], row["say"], new_day))
        before = at.date()
    return tuple(lines)


def _bowls(rows: Sequence[File], steps: Sequence[StepLine]) -> tuple[BowlLine, ...]:
    """The bowls with their times: a bowl and its mix hold the same flasks."""
    mixes = {frozenset(step.flasks): step for step in steps if step.do is Do.MIX}
    bowls = []
    for row in rows:
        mix = mixes.get(frozenset(row["flasks"]))
        at, until = (mix.at, mix.until) if mix else (None, None)
        bowls.append(BowlLine(tuple(row["flasks"]), row["powder_g"], row["water_g"], at, until))
    return tuple(bowls)
