"""The clock on the studio's wall: what it shows at a minute of the plan, through clock changes."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from casting.calc.values.sentence import Sentence, say

WEEKDAYS = (say("Mon"), say("Tue"), say("Wed"), say("Thu"), say("Fri"), say("Sat"), say("Sun"))
MONTHS = (
    *(say("Jan"), say("Feb"), say("Mar"), say("Apr"), say("May"), say("Jun")),
    *(say("Jul"), say("Aug"), say("Sep"), say("Oct"), say("Nov"), say("Dec")),
)
HOUR_MIN = 60
DAY_MIN = 24 * HOUR_MIN


@dataclass(frozen=True, slots=True)
class LocalClock:
    """The local time of each minute from the first pour.

    `pour_min` are the minutes from a Monday's midnight in UTC to the first pour; `offsets` what the zone is ahead of
    UTC, each with the minute from which it holds (the first holds from ever).
    """

    pour_min: int = 0
    offsets: tuple[tuple[int, int], ...] = ((0, 0),)

    def show(self, at: int) -> Sentence:
        """Return what the clock shows.

        Parameters
        ----------
        at : int
            Minutes from the first pour.

        Returns
        -------
        str
            Weekday, hour and minute; with "(first)" or "(second)" in the night in which that time comes twice.
        """
        day, clock = self._local(at)
        return say("{weekday} {clock}", weekday=WEEKDAYS[day % len(WEEKDAYS)], clock=clock)

    def show_span(self, at: int, until: int) -> Sentence:
        """Return from when until when, the weekday once if both are of one day; a moment alone if they are equal.

        Parameters
        ----------
        at, until : int
            Minutes from the first pour.

        Returns
        -------
        str
            As in "Sat 19:47 to Sun 08:00".
        """
        if at == until:
            return self.show(at)
        end = self._local(until)[1] if self._local(at)[0] == self._local(until)[0] else self.show(until)
        return say("{since} to {until}", since=self.show(at), until=end)

    def later(self, by: int) -> LocalClock:
        """Return the clock of a first pour that is `by` minutes later."""
        return LocalClock(self.pour_min + by, tuple((at - by, ahead) for at, ahead in self.offsets))

    def _local(self, at: int) -> tuple[int, str]:
        """The local day, counted from the Monday, and the hour and minute."""
        ahead = [ahead for since, ahead in self.offsets[1:] if since <= at]
        day, minute = divmod(self.pour_min + at + (ahead[-1] if ahead else self.offsets[0][1]), DAY_MIN)
        hour, minute = divmod(minute, HOUR_MIN)
        return day, self._told_apart(at, f"{hour:02}:{minute:02}")

    def _told_apart(self, at: int, clock: str) -> str:
        """What a clock shows, with which of two equal times it is, if the clocks go back over it."""
        for (_since, before), (change, after) in pairwise(self.offsets):
            if change - (before - after) <= at < change:
                return say("{clock} (first)", clock=clock)
            if change <= at < change + (before - after):
                return say("{clock} (second)", clock=clock)
        return clock
