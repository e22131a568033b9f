"""People beside a stored plan: its kilns' runs, and who is on call while they are alone."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from casting.calc.values.day_plan import FiredSegment, FiringPlan
from casting.dayfile import Day
from casting.dayfile.times import minutes_from
from casting.models import CastingDay, SafetyRecord
from casting.presenters.clock_change import instant


def firings_of(plan: Mapping[str, Any], day: Day) -> tuple[FiringPlan, ...]:
    """Return the kilns' runs of a plan file, in minutes from the first pour of its day."""
    return tuple(
        FiringPlan(row["kiln"], row["firing"], _minutes(row["on_at"], day), tuple(_segments(row["segments"], day)))
        for row in plan["firings"]
    )


def _segments(rows: Any, day: Day) -> list[FiredSegment]:
    segments: list[FiredSegment] = []
    for row in rows:
        starts, reached, ends = (_minutes(row[key], day) for key in ("starts_at", "reached_at", "ends_at"))
        figures = (row["ramp_c_per_h"], row["to_c"], row["hold_min"], starts, reached, ends)
        segments.append(FiredSegment(*figures, cooling=bool(segments) and row["to_c"] < segments[-1].to_c))
    return segments


def _minutes(text: str, day: Day) -> int:
    return minutes_from(day.pour_at, instant(text, day.zone))


def on_call_of(day: CastingDay, record: SafetyRecord) -> str:
    """Return name and number of the person on call in the kiln night: the day's own, else the school's; or nothing.

    Whom to call at the school counts only where the school has recorded that a named person is on call.
    """
    return day.on_call or (record.contact if record.on_call else "")
