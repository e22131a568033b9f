"""What one large or resin flask costs everybody: the longer firing that it puts its whole kiln on, in hours."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from casting.calc.cautions.rulebook import raised
from casting.calc.kiln.loading import ShelfFlask, firing_for, firings_by_kiln
from casting.calc.schedule.kilns import Load, load_of
from casting.calc.schedule.pours import PourJob
from casting.calc.schedule.steps import DaySchedule, hand_in_closes
from casting.calc.values.day_input import DayInput
from casting.calc.values.day_plan import Caution
from casting.calc.values.enums import Kind
from casting.calc.values.local_clock import HOUR_MIN
from casting.calc.values.marked_text import flasks_in_words, named
from casting.calc.values.sentence import say, together


def slow_flask_cautions(
    load: Load,
    shelf: Mapping[str, ShelfFlask],
    day: DayInput,
    on_clock: Callable[[Load], DaySchedule],
) -> Iterator[Caution]:
    """Yield what flasks cost the others of their kiln by the longer firing that they need.

    Parameters
    ----------
    load : Load
        The day's load.
    shelf : mapping of str to ShelfFlask
        Its flasks as kilns see them, by label.
    day : DayInput
        The day.
    on_clock : callable
        The schedule of a load.

    Yields
    ------
    Caution
        One for each kiln that is still off and would go on later, by the limit at least, without the flasks that
        need its firing even alone; all others as they stand. None for flasks that are invested, or all alike.
    """
    may_run = firings_by_kiln(day.kilns, day.firings)
    for key, firing in load.firings.items():
        inside = [job for job in load.order if job.kiln == key]
        slow = [job for job in inside if firing_for(may_run[key], [shelf[job.label]]) == firing]
        if key in day.kiln_on_at or any(job.fixed for job in slow) or not 0 < len(slow) < len(inside):
            continue
        less = load_of([job for job in load.order if job not in slow], shelf, may_run)
        if less is None:
            continue
        as_is, without = on_clock(load), on_clock(less)
        later = _on_at(without, key) - _on_at(as_is, key)
        if later < day.rulebook.limit("slow_flask_min"):
            continue
        kiln = next(kiln.called for kiln in day.kilns if kiln.key == key)
        yield raised(
            day.rulebook,
            "slow-flask",
            flasks=_named(slow, shelf),
            kiln=kiln,
            firing=firing.called,
            them=say("it") if len(slow) == 1 else say("them"),
            later=_hours(later),
            closes=_closes(as_is, without, day),
        )


def _on_at(schedule: DaySchedule, kiln: str) -> int:
    return next(run.on_at for run in schedule.firings if run.kiln == kiln)


def _closes(as_is: DaySchedule, without: DaySchedule, day: DayInput) -> str:
    """When hand-in would close, if that is later."""
    now, then = hand_in_closes(as_is, day), hand_in_closes(without, day)
    if now is None or then is None or then <= now:
        return ""
    words = " and hand-in would close {then}, not {now}"
    return say(words, then=day.clock.show(then), now=day.clock.show(now))


def _named(slow: Sequence[PourJob], shelf: Mapping[str, ShelfFlask]) -> str:
    """'flask D (88.9 × 101.6 mm, resin)', or 'flasks D (tall) and E (tall)' where a size has that name."""
    told = [
        say(
            "{flask} ({size}, resin)" if shelf[job.label].kind is Kind.RESIN else "{flask} ({size})",
            flask=job.label,
            size=named(job.size.called),
        )
        for job in sorted(slow, key=lambda job: job.label)
    ]
    return flasks_in_words(told)


def _hours(minutes: int) -> str:
    hours, rest = divmod(minutes, HOUR_MIN)
    span = [say("{hours} h", hours=hours)] if hours else []
    return together([*span, say("{minutes} min", minutes=rest)] if rest else span)
