"""Reads a stored plan file and its day file into the values that a page or a paper shows.

Nothing is planned here: figures and times are the plan's own, and the working beside a
figure comes from the day file that the plan was made from.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from casting.calc.quantities.charge import button_by_diameter
from casting.calc.values.day_input import COLD_C, Alloy, DayInput, FlaskSize, Kiln
from casting.calc.values.day_plan import Place, TreePlace
from casting.calc.values.enums import Do, Kind, Section
from casting.calc.values.marked_text import mark
from casting.calc.values.sentence import Sentence, from_json
from casting.dayfile import Day, read
from casting.presenters.clock_change import instant
from casting.presenters.flask_gaps import gaps_of
from casting.presenters.mishap_told import ToldMishap
from casting.presenters.on_bench import POURED, QUENCHED, done_for, is_over, stages_of
from casting.presenters.plan_sheet import (
    BowlLine,
    Button,
    File,
    FlaskSheet,
    KilnNight,
    LeftOutLine,
    PlanSheet,
    SegmentLine,
    StepLine,
    WaxName,
    WaxOnBase,
)
from casting.presenters.sheet_values import Part, TrunkLine
from casting.selectors.mounted import MountedCharge, WeighedBase, mounted_charges


def read_plan(plan_file: str, day_file: str, names: Mapping[str, WaxName] | None = None) -> PlanSheet:
    """Return the text of a plan file and of its day file as values to show; `names` as in `plan_sheet_of`."""
    return plan_sheet_of(json.loads(plan_file), read(day_file), names)


def plan_sheet_of(
    plan: File,
    day: Day,
    names: Mapping[str, WaxName] | None = None,
    on_bench: Mapping[str, str] | None = None,
    kilns_on: Mapping[str, datetime] | None = None,
    now: datetime | None = None,
    quenched: Collection[str] = (),
    collected: Collection[str] = (),
    weighed: Mapping[str, WeighedBase] | None = None,
    mishaps: Mapping[str, ToldMishap] | None = None,
) -> PlanSheet:
    """Return the values that a page or a paper shows, from a plan file's values and its day.

    `names` says what people call each wax, by its key; without it, the day file's own words. `on_bench`
    says which flasks are `INVESTED` or `POURED`, by label, and `kilns_on` since when which kilns are on, by key:
    a plan file records neither. `now` tells which climbs and holds of these are over, `quenched` which flasks are in
    water, `collected` which pieces are given back. `weighed` are the finished bases that were weighed: they rule the
    charge, whatever the slips say. `mishaps` are what went wrong, by label.
    """
    standing = on_bench or {}
    several = len(plan["firings"]) > 1
    reader = _Reader(day.day, day.zone, names or {}, standing, kilns_on or {}, several, now, quenched, collected)
    mounted = mounted_charges(plan, day.day, weighed or {})
    met = mishaps or {}
    flasks = tuple(
        replace(as_mounted(reader.flask(flask), mounted.get(flask["label"])), mishap=met.get(flask["label"]))
        for flask in plan["flasks"]
    )
    kiln_of = {flask["label"]: flask["kiln"] for flask in plan["flasks"]}
    nights = tuple(reader.night(night, flasks) for night in plan["firings"])
    back = [flask.label for flask in flasks if flask.given_back]
    stages = stages_of(standing, kiln_of, kilns_on or {}, quenched, back)
    # A flask that is lost needs no step any more.
    stages |= {flask.label: QUENCHED for flask in flasks if flask.is_lost}
    steps = _steps(plan["steps"], day.zone, stages, now)
    return PlanSheet(
        zone=day.zone,
        pour_at=day.pour_at.astimezone(day.zone),
        day=day.day,
        flasks=tuple(sorted(flasks, key=lambda flask: flask.out_at)),
        bowls=_bowls(plan["bowls"], steps, standing),
        left_out=tuple(reader.left_out(row) for row in plan["left_out"]),
        totals=plan["totals"],
        proof={**plan["proof"], "why": said_in(plan["proof"], "why")},
        kilns=nights,
        steps=steps,
        cautions=plan["cautions"],
    )


def as_mounted(flask: FlaskSheet, mounted: MountedCharge | None) -> FlaskSheet:
    """Return a flask with the button and charge that its finished base asks for; as it is if that was not weighed."""
    if mounted is None:
        return flask
    button = replace(flask.button, share_g=mounted.wax.metal_g * flask.button.share_pct / 100)
    return replace(flask, button=button, button_g=mounted.button_g, charge_g=mounted.charge_g, mounted=mounted)


@dataclass(frozen=True, slots=True)
class _Reader:
    """Looks up a plan's keys in its day."""

    day: DayInput
    zone: ZoneInfo
    names: Mapping[str, WaxName]
    on_bench: Mapping[str, str]
    kilns_on: Mapping[str, datetime]
    several_kilns: bool = False
    now: datetime | None = None
    quenched: Collection[str] = ()
    collected: Collection[str] = ()

    def name(self, key: str) -> WaxName:
        wax = self.day.wax(key)
        return self.names.get(key) or WaxName(key, wax.student, "")

    def left_out(self, row: File) -> LeftOutLine:
        cure = said_in(row, "cure") if row["cure"] else None
        return LeftOutLine(row["key"], self.name(row["key"]), row["reason"], said_in(row, "detail"), cure)

    def wax(self, row: File) -> WaxOnBase:
        wax = self.day.wax(row["key"])
        of = [(wax.wax_g, wax.pattern)]
        if wax.sprue_g and wax.sprue_pattern:
            of = [(wax.wax_g - wax.sprue_g, wax.pattern), (wax.sprue_g, wax.sprue_pattern)]
        patterns = self.day.patterns
        parts = [
            Part(part_g, patterns[key].specific_gravity, patterns[key].kind, patterns[key].from_memory)
            for part_g, key in of
        ]
        place = Place(row["x_mm"], row["y_mm"], row["turn_deg"])
        if "tier" in row:
            place = TreePlace(row["x_mm"], row["y_mm"], row["turn_deg"], row["z_mm"], row["tier"])
        reach = row.get("beyond_reach_mm", 0.0), row.get("reach_reason", "")
        return WaxOnBase(wax, self.name(wax.key), place, tuple(parts), row["metal_g"], *reach)

    def owner(self, owner: str, waxes: Sequence[WaxOnBase]) -> str | None:
        """The student whose metal it is, as people call them; None for the school's."""
        theirs = [on_base.name.student for on_base in waxes if on_base.wax.owner == owner != "school"]
        return theirs[0] if theirs else None

    def flask(self, row: File) -> FlaskSheet:
        day = self.day
        waxes = tuple(self.wax(wax) for wax in row["waxes"])
        size, alloy, kind = day.size(row["size"]), day.alloys[row["alloy"]], Kind(row["kind"])
        gap_mm, to_wall_mm = gaps_of(waxes, size, day.rules)
        trunk = self.trunk(row, size)
        poured = self.on_bench.get(row["label"]) == POURED
        return FlaskSheet(
            label=row["label"],
            size=size,
            alloy=alloy,
            investment=day.investment,
            rules=day.rules,
            owner=self.owner(row["owner"], waxes),
            section=Section(row["section"]),
            kind=kind,
            waxes=waxes,
            wax_metal_g=row["wax_metal_g"],
            button_g=row["button_g"],
            button=self.button(row["wax_metal_g"] + (trunk.metal_g if trunk else 0.0), waxes, size, alloy),
            charge_g=row["charge_g"],
            powder_g=row["powder_g"],
            water_g=row["water_g"],
            flask_c=row["flask_c"],
            pour_c=row["pour_c"],
            kiln=row["kiln"],
            kiln_x_mm=row["kiln_x_mm"],
            kiln_y_mm=row["kiln_y_mm"],
            out_at=instant(row["out_at"], self.zone),
            quench_at=instant(row["quench_at"], self.zone),
            gap_mm=gap_mm,
            to_wall_mm=to_wall_mm,
            trunk=trunk,
            invested=row["label"] in self.on_bench,
            poured=poured,
            quenched=poured and row["label"] in self.quenched,
            given_back=poured and all(wax["key"] in self.collected for wax in row["waxes"]),
            kiln_named=self.kiln(row["kiln"]).called if self.several_kilns else "",
        )

    def button(self, metal_g: float, waxes: Sequence[WaxOnBase], size: FlaskSize, alloy: Alloy) -> Button:
        rules = self.day.rules
        share_pct = rules.button_pct[max((on_base.wax.section for on_base in waxes), key=lambda s: s.step)]
        return Button(share_pct, metal_g * share_pct / 100, button_by_diameter(size, alloy, rules))

    def trunk(self, row: File, size: FlaskSize) -> TrunkLine | None:
        """The trunk of a tree; None on a cone."""
        if size.trunk_mm is None:
            return None
        highest_mm = max(wax["z_mm"] for wax in row["waxes"])
        return TrunkLine(size.trunk_mm, highest_mm - size.base_mm, row["trunk_g"])

    def kiln(self, key: str) -> Kiln:
        return next(kiln for kiln in self.day.kilns if kiln.key == key)

    def night(self, row: File, flasks: Sequence[FlaskSheet]) -> KilnNight:
        kiln = self.kiln(row["kiln"])
        firing = next(firing for firing in self.day.firings if firing.key == row["firing"])
        segments, from_c = [], float(COLD_C)
        on_at, since = instant(row["on_at"], self.zone), self.kilns_on.get(kiln.key)
        for nth, segment in enumerate(row["segments"]):
            starts, reached, ends = (instant(segment[key], self.zone) for key in ("starts_at", "reached_at", "ends_at"))
            star = mark("segments", firing.from_memory) if nth < len(firing.segments) else ""
            figures = (segment["ramp_c_per_h"], from_c, segment["to_c"], segment["hold_min"])
            # A soak lasts until its last flask is out, whatever the clock says.
            over = segment["to_c"] > from_c and is_over(ends, on_at, since, self.now)
            segments.append(SegmentLine(*figures, starts, reached, ends, star, over))
            from_c = segment["to_c"]
        inside = tuple(flask for flask in flasks if flask.kiln == kiln.key)
        return KilnNight(
            kiln,
            row["firing"],
            on_at,
            tuple(segments),
            inside,
            since.astimezone(self.zone) if since else None,
        )


def _steps(
    rows: Sequence[File], zone: ZoneInfo, stages: Mapping[str, str], now: datetime | None
) -> tuple[StepLine, ...]:
    lines = []
    for row in rows:
        do, flasks = Do(row["do"]), tuple(row["flasks"])
        at, until = instant(row["at"], zone), instant(row["until"], zone)
        done = done_for(do, flasks, stages, ended=now is not None and until <= now)
        lines.append(StepLine(at, until, do, flasks, row["kiln"], said_in(row, "say"), done))
    return tuple(lines)


def said_in(row: File, key: str) -> Sentence:
    """Return a sentence of a row of a plan file, with its figures if the file has them."""
    return from_json(row[key], row.get("said", {}).get(key))


def _bowls(rows: Sequence[File], steps: Sequence[StepLine], on_bench: Mapping[str, str]) -> tuple[BowlLine, ...]:
    """The bowls with their times: a bowl and its mix hold the same flasks."""
    mixes = {frozenset(step.flasks): step for step in steps if step.do is Do.MIX}
    bowls = []
    for row in rows:
        mix = mixes.get(frozenset(row["flasks"]))
        at, until = (mix.at, mix.until) if mix else (None, None)
        invested = tuple(label for label in row["flasks"] if label in on_bench)
        bowls.append(BowlLine(tuple(row["flasks"]), row["powder_g"], row["water_g"], at, until, invested))
    return tuple(bowls)
