"""Whether the torches keep up with the pours that the pitch would allow, and what would help."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from casting.calc.cautions.rulebook import raised, told
from casting.calc.schedule.backward import working_day
from casting.calc.schedule.kilns import Load, clocked
from casting.calc.schedule.pours import Pour
from casting.calc.values.day_input import DayInput
from casting.calc.values.day_plan import Caution
from casting.calc.values.sentence import say

FROM_MEMORY = ("melt_w", "melt_set_up_min", "cup_change_min", "melter_min")
"""What the length of a melt follows from."""


def pace_cautions(pours: Sequence[Pour], load: Load, day: DayInput) -> Iterator[Caution]:
    """Yield the cautions about a bench that melts more slowly than it could pour.

    Parameters
    ----------
    pours : sequence of Pour
        The day's pours.
    load : Load
        The load they are of.
    day : DayInput
        The day, for its rules and hours.

    Yields
    ------
    Caution
        One if melting makes the last pour later by more than the limit, one if it ends after the
        studio closes; each with what one more torch, and hot crucibles, would save.
    """

    def last_out(**rules: Any) -> int:
        changed = replace(day, rules=replace(day.rules, **rules))
        return clocked(load, changed)[0][-1].out_at

    if not pours:
        return
    rules, last = day.rules, pours[-1]
    every = max(len(pours), rules.torches)
    late = last.out_at - last_out(torches=every, hands=max(every, rules.hands))
    if late <= 0:
        return
    more = rules.torches + 1
    one_more = last.out_at - last_out(torches=more, hands=max(more, rules.hands))
    hot = last.out_at - last_out(cup_change_min=0)
    figures = {"late": told(late, rules, *FROM_MEMORY), "help": _help(one_more, hot, day)}
    if late > day.rulebook.limit("melts_late_min"):
        longest = max(pours, key=lambda pour: pour.melt.until - pour.melt.at)
        takes = told(longest.melt.until - longest.melt.at, rules, *FROM_MEMORY)
        pitch = max(rules.pitch_min, rules.pour_min)
        yield raised(day.rulebook, "bench-slow", flask=longest.label, takes=takes, pitch=pitch, **figures)
    today = working_day(last.out_at, day.hours)
    if today is not None and last.until > today.closes:
        over = told(last.until - today.closes, rules, *FROM_MEMORY)
        yield raised(day.rulebook, "bench-past-closing", over=over, **figures)


def _help(one_more: int, hot: int, day: DayInput) -> str:
    """What saves time, with the minutes; what saves none is not offered."""
    said = []
    if one_more > 0 and day.rules.torches >= day.rules.hands:
        said.append(say("one more torch and hands for it, which saves {minutes} minutes", minutes=one_more))
    elif one_more > 0:
        said.append(say("one more torch, which saves {minutes} minutes", minutes=one_more))
    if hot > 0:
        said.append(say("a hot crucible ready for each melt, which saves {minutes} minutes", minutes=hot))
    if len(said) > 1:
        return say("{one}, or {other}", one=said[0], other=said[1])
    return said[0] if said else say("fewer and larger flasks, or a stronger torch")
