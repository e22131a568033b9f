"""When each flask is poured as the day goes: its plan put on the clock again with what is noted, nothing searched."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from casting.calc.schedule.flask_temperature import Band
from casting.calc.schedule.pours import Pour, PourJob, pour_forward
from casting.calc.values.day_input import DayInput
from casting.calc.values.enums import Kind
from casting.dayfile import Day
from casting.dayfile.times import minutes_from, show_at, to_the_minute
from casting.presenters.plan_sheet import File

Times = Mapping[str, datetime]


@dataclass(frozen=True, slots=True)
class Expected:
    """A flask as the day goes: when its metal begins to melt, when it is poured, from when it may be quenched.

    Of a poured flask these are what was noted and what follows from it. `planned_at` is what papers say.
    """

    label: str
    melt_at: datetime
    out_at: datetime
    quench_at: datetime
    planned_at: datetime
    poured: bool = False

    @property
    def behind_min(self) -> int:
        """How much later than planned it is poured [min]; negative if it is earlier."""
        return round((self.out_at - self.planned_at) / timedelta(minutes=1))


@dataclass(frozen=True, slots=True)
class GoneWrong:
    """Which flasks are not poured any more, and from when late ones can leave their kiln."""

    out: Collection[str] = ()
    not_before: Times = field(default_factory=dict)


def expected_of(
    plan: File,
    day: Day,
    poured: Times,
    kilns_on: Times,
    now: datetime,
    behind_min: Mapping[str, int] | None = None,
    charges_g: Mapping[str, float] | None = None,
    wrong: GoneWrong | None = None,
) -> dict[str, Expected]:
    """Return each flask of a plan file by label, in the order in which they are poured; none that is not any more.

    `poured` and `kilns_on` are what was noted, by flask and by kiln; `behind_min` by how much a kiln is late by its
    readings. `charges_g` are charges that are others than the plan's.
    """
    wrong = wrong or GoneWrong()
    charged = [row | {"charge_g": (charges_g or {}).get(row["label"], row["charge_g"])} for row in plan["flasks"]]
    rows = sorted(_to_pour(charged, wrong), key=lambda row: str(row["out_at"]))
    if not rows:
        return {}
    pours = _on_the_clock(_behind_their_like(rows, wrong), plan, day, poured, kilns_on, now, behind_min or {}, wrong)
    planned = {row["label"]: datetime.fromisoformat(row["out_at"]) for row in rows}

    def at(minute: int) -> datetime:
        return show_at(day.pour_at, minute, day.zone)

    found = {}
    for one in pours:
        out_at, quench_at = at(one.out_at), at(one.quench_at)
        if one.label in poured:
            out_at = poured[one.label].astimezone(day.zone)
            quench_at = to_the_minute(out_at) + timedelta(minutes=one.quench_at - one.out_at)
        planned_at = planned[one.label].astimezone(day.zone)
        found[one.label] = Expected(one.label, at(one.melt.at), out_at, quench_at, planned_at, one.label in poured)
    return found


def _to_pour(rows: list[File], wrong: GoneWrong) -> list[File]:
    return [row for row in rows if row["label"] not in wrong.out]


def _behind_their_like(rows: list[File], wrong: GoneWrong) -> list[File]:
    """The same, a late flask behind those of its kiln and temperature: they need not wait for it, and it stays hot."""
    firsts: dict[tuple[str, int], list[int]] = {}
    for nth, row in enumerate(rows):
        firsts.setdefault((row["kiln"], row["flask_c"]), []).append(nth)
    found = list(rows)
    for places in firsts.values():
        alike = sorted((rows[nth] for nth in places), key=lambda row: row["label"] in wrong.not_before)
        for nth, row in zip(places, alike, strict=True):
            found[nth] = row
    return found


def _on_the_clock(
    rows: list[File],
    plan: File,
    day: Day,
    poured: Times,
    kilns_on: Times,
    now: datetime,
    behind_min: Mapping[str, int],
    wrong: GoneWrong,
) -> tuple[Pour, ...]:
    def minute(at: datetime) -> int:
        return minutes_from(day.pour_at, at)

    firings = {one.key: one for one in day.day.firings}
    of_kiln = {row["kiln"]: firings[row["firing"]] for row in plan["firings"]}
    on_at = {key: minute(at) + behind_min.get(key, 0) for key, at in kilns_on.items() if key in of_kiln}
    going = replace(day.day, kiln_on_at=on_at, now=minute(now))
    labels = {row["label"] for row in rows}
    noted = {label: minute(at) for label, at in poured.items() if label in labels}
    jobs = [_job(row, day.day) for row in rows]
    late = {label: minute(at) for label, at in wrong.not_before.items()}
    pours, _firings = pour_forward(jobs, {row["label"]: row["flask_c"] for row in rows}, of_kiln, going, noted, late)
    return pours


def _job(row: File, day: DayInput) -> PourJob:
    """A flask of a plan file as the schedule needs it: its temperature is settled."""
    return PourJob(
        label=row["label"],
        first_wax=min(wax["key"] for wax in row["waxes"]),
        size=day.size(row["size"]),
        alloy=day.alloys[row["alloy"]],
        charge_g=row["charge_g"],
        band=Band(row["flask_c"], row["flask_c"], row["flask_c"]),
        kiln=row["kiln"],
        fixed=True,
        stones=row["kind"] == Kind.STONES,
    )
