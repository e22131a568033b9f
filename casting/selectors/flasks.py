"""How far the flasks of a casting day have come, and which waxes are in them. Reads only."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from casting.calc.values.enums import Do
from casting.models import CastingDay, Flask, Plan

STEP_OF = {Flask.State.INVESTED: Do.MIX, Flask.State.POURED: Do.POUR}
"""The step of a plan that brings a flask there."""


@dataclass(frozen=True, slots=True)
class BenchState:
    """How far a flask has come, with the time and the person who noted it; neither while it is planned."""

    state: Flask.State = Flask.State.PLANNED
    at: datetime | None = None
    by: str = ""

    @property
    def as_typed(self) -> str:
        """The time as a browser's field takes it."""
        return f"{self.at:%Y-%m-%dT%H:%M}" if self.at else ""


def on_bench(day: CastingDay) -> dict[str, BenchState]:
    """How far the flasks of a day have come, by label, in the school's time; one that is not there is planned."""
    done = {(step.do, step.what): step for step in day.steps_done.select_related("by")}
    found = {}
    for flask in day.flasks.exclude(state=Flask.State.PLANNED):
        state = Flask.State(flask.state)
        step = done.get((STEP_OF[state], flask.label))
        at = step.done_at.astimezone(day.course.school.tz) if step else None
        found[flask.label] = BenchState(state, at, step.by.name if step and step.by else "")
    return found


def flask_contents(plan: Plan) -> dict[str, set[str]]:
    """The tags of the waxes in each flask of a plan, by its label."""
    return {flask["label"]: {wax["key"] for wax in flask["waxes"]} for flask in plan.file["flasks"]}
