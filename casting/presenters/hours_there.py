"""The stretches of a plan's days in which somebody is at the school, as far as its hours tell."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from casting.presenters.plan_sheet import PlanSheet

Span = tuple[datetime, datetime]


def there_between(plan: PlanSheet, start: datetime, end: datetime) -> tuple[Span, ...] | None:
    """Return when somebody is there between two instants, on the plan's clock; None if no hours are recorded."""
    if not plan.day.hours:
        return None
    # In UTC: the clocks may change between two times of one zone.
    pour_at, first, last = (at.astimezone(UTC) for at in (plan.pour_at, start, end))
    spans = [
        (max(first, pour_at + timedelta(minutes=day.opens)), min(last, pour_at + timedelta(minutes=day.closes)))
        for day in plan.day.hours
    ]
    return tuple(
        (opens.astimezone(plan.zone), closes.astimezone(plan.zone)) for opens, closes in spans if opens < closes
    )
