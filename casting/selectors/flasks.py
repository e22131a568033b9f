"""How far the flasks of a casting day have come, and which waxes are in them. Reads only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from casting.calc.values.enums import Do
from casting.models import CastingDay, Flask, Plan

STEP_OF = {Flask.State.INVESTED: Do.MIX, Flask.State.POURED: Do.POUR}
"""The step of a plan that brings a flask there."""


@dataclass(frozen=True, slots=True)
class Noted:
    """When something was done, in the school's time, by whom (who was named, else who noted it), what was read."""

    at: datetime
    by: str = ""
    figures: Mapping[str, Any] = field(default_factory=dict)

    @property
    def as_typed(self) -> str:
        """The time as a browser's field takes it."""
        return f"{self.at:%Y-%m-%dT%H:%M}"


Notes = Mapping[tuple[str, str], Noted]
"""By step, and flask, kiln or wax."""


@dataclass(frozen=True, slots=True)
class BenchState:
    """How far a flask has come, with the time and the person who noted it; neither while it is planned."""

    state: Flask.State = Flask.State.PLANNED
    at: datetime | None = None
    by: str = ""
    quenched: Noted | None = None

    @property
    def as_typed(self) -> str:
        """The time as a browser's field takes it."""
        return f"{self.at:%Y-%m-%dT%H:%M}" if self.at else ""


def noted_on(day: CastingDay) -> dict[tuple[str, str], Noted]:
    """All that is noted as done on a day. One query."""
    zone = day.course.school.tz
    return {
        (step.do, step.what): Noted(
            step.done_at.astimezone(zone), step.who or (step.by.name if step.by else ""), step.figures
        )
        for step in day.steps_done.select_related("by")
    }


def on_bench(day: CastingDay) -> dict[str, BenchState]:
    """How far the flasks of a day have come, by label, in the school's time; one that is not there is planned."""
    return bench_of(day.states(), noted_on(day))


def bench_of(states: Mapping[str, str], notes: Notes) -> dict[str, BenchState]:
    """How far the flasks of these states have come, by label, as noted; one that is not there is planned."""
    found = {}
    for label, value in states.items():
        state = Flask.State(value)
        step = notes.get((STEP_OF[state], label))
        quenched = notes.get((Do.QUENCH, label)) if state == Flask.State.POURED else None
        found[label] = BenchState(state, step.at if step else None, step.by if step else "", quenched)
    return found


def flask_of(plan: Plan | None) -> dict[str, str]:
    """The label of the flask of each wax of a plan, by tag; none before the first plan."""
    return {tag: label for label, tags in (flask_contents(plan) if plan else {}).items() for tag in tags}


def flask_contents(plan: Plan) -> dict[str, set[str]]:
    """The tags of the waxes in each flask of a plan, by its label."""
    return {flask["label"]: {wax["key"] for wax in flask["waxes"]} for flask in plan.file["flasks"]}
