"""The recast list as a page shows it: whose turn it is, which piece, why, on which day, who pays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from casting.calc.values.mishap import Fate, Mishap
from casting.models import CastingDay, Recast, Wax
from casting.presenters.formats import on_clock_of
from casting.presenters.running.mishap_words import NOTED
from casting.selectors.recast import handed_in_again, not_on_list, open_days_of, recast_of
from school.models import Person


@dataclass(frozen=True, slots=True)
class RecastLine:
    """A piece: its turn, why it is cast again, on which days it can be, and its new wax once that is handed in."""

    row: Recast
    nth: int
    why: str
    days: Sequence[CastingDay]
    new_wax: Wax | None = None

    @property
    def days_to_choose(self) -> list[CastingDay]:
        """The days that can be chosen, with the one that is, also if it takes no waxes any more."""
        kept = self.row.next_day
        return [*([kept] if kept and kept not in self.days else []), *self.days]


@dataclass(frozen=True, slots=True)
class RecastList:
    """The pieces to be cast again in turn, those that somebody has to look at, and those that nobody listed yet."""

    again: Sequence[RecastLine]
    to_look_at: Sequence[RecastLine]
    usable: Sequence[RecastLine]
    unlisted: Sequence[tuple[Wax, str]]


def recast_list(person: Person, day: CastingDay | None = None) -> RecastList:
    """Return the list of a school, or of one day: who has waited longest is first. Few queries, however many pieces."""
    rows = recast_of(person, day)
    days, new = open_days_of(rows), handed_in_again(rows)
    again = [row for row in rows if row.fate == Fate.AGAIN and (day or not _is_over(row, new.get(row.pk)))]
    lines = [
        RecastLine(row, nth, why_of(row), _later(row, days.get(row.wax.student.course_id, [])), new.get(row.pk))
        for nth, row in enumerate(again, start=1)
    ]
    look, usable = (
        [RecastLine(row, 0, why_of(row), ()) for row in rows if row.fate == fate] for fate in (Fate.LOOK, Fate.USABLE)
    )
    unlisted = [(wax, str(UNLISTED[why]())) for wax, why in not_on_list(day).items()] if day else []
    return RecastList(lines, look, usable, unlisted)


def _later(row: Recast, days: Sequence[CastingDay]) -> list[CastingDay]:
    return [day for day in days if day.pk != row.wax.day_id]


def _is_over(row: Recast, new: Wax | None) -> bool:
    """Whether its new wax is handed in and that day is over: it is on nobody's list any more."""
    return new is not None and row.next_day is not None and row.next_day.pour_has_begun()


def why_of(row: Recast, label: str = "") -> str:
    """Return why a piece is cast again, in a sentence without its stop; its flask is called by its `label`."""
    if row.mishap is None:
        return _("It did not come out, or did not fill")
    return capfirst(str(NOTED[Mishap(row.mishap.kind)]) % {"label": label or row.mishap.label})


def places_kept(day: CastingDay) -> list[Recast]:
    """Return the pieces that are cast again on a day and have no new wax yet, in turn. Two queries."""
    rows = list(Recast.objects.filter(next_day=day, fate=Fate.AGAIN).in_turn())
    new = handed_in_again(rows)
    return [row for row in rows if row.pk not in new]


def told_student(row: Recast) -> str:
    """Return what the student of a piece reads of it; nothing if it will do."""
    if row.fate not in (Fate.LOOK, Fate.AGAIN):
        return ""
    label = _("flask %(label)s") % {"label": row.mishap.label} if row.mishap else ""
    why = f"{why_of(row, label)}."
    if row.fate == Fate.LOOK:
        return " ".join((why, _("Your piece is looked at when it is out.")))
    if row.next_day is None:
        return " ".join((why, _("It is cast again, from a new wax. Your teacher chooses the day.")))
    when = on_clock_of(row.next_day.pour_at, row.next_day.course.school)
    return " ".join((why, _("It is cast again: %(when)s. Make a new wax for that day.") % {"when": when}))


def without_new_wax(waxes: Sequence[Wax]) -> list[Wax]:
    """Return those of a student's waxes that are cast again on another day, and have no new wax there yet."""
    placed = [wax for wax in waxes if wax.again and wax.again.fate == Fate.AGAIN and wax.again.next_day_id is not None]
    left = [wax for wax in waxes if wax.withdrawn_at is None]
    found = []
    for wax in sorted(placed, key=lambda one: one.pk):
        row = wax.again
        same = (row.next_day_id if row else None, wax.what.casefold())
        new = next((one for one in left if (one.day_id, one.what.casefold()) == same), None)
        if new is None:
            found.append(wax)
        else:
            left.remove(new)
    return found


UNLISTED = {
    "not_cast": lambda: _("did not come out, as the metal account says"),
    "unfilled": lambda: _("did not fill, as a defect says"),
}
"""Why a piece belongs on the list."""
