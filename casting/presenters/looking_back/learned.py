"""What past days say of the figures that a school plans by: each as a distribution, beside the default in use.

A default is offered where there are enough figures, and taken by nobody but a teacher.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.utils.translation import gettext as _

from casting.calc.advice.learning import Offer, Spread, is_few, offer_of, spread_of
from casting.dayfile.rules_file import rulebook
from casting.models import CastingDay
from casting.models.shelf import ShelfRow
from casting.presenters.figure_words import Reader
from casting.presenters.formats import NARROW_SPACE, day_date, decimals, rounded, weighed_on
from casting.presenters.looking_back.past_figures import Figure
from casting.presenters.refusals import said_at_box

ROWS = 24
"""Figures that are told one by one, the latest."""


@dataclass(frozen=True, slots=True)
class Measure:
    """What figures are in: the name that says their unit, the decimals that are shown, what a change of them changes.

    `comes_to` is what a figure comes to on the flask or kiln of a past one [g of metal, or min].
    """

    name: str
    places: int
    grams: bool
    comes_to: Callable[[float, Figure], float]


SHARE = Measure("button_pct", 1, True, lambda share, past: share * past.of / 100)
BUTTON = Measure("button_g", 1, True, lambda grams, past: grams * past.of)
LOSS = Measure("loss_pct", 2, True, lambda _share, _past: 0.0)
MINUTES = Measure("pour_min", 1, False, lambda minutes, _past: minutes)
RATE = Measure("ramp_c_per_h", 0, False, lambda rate, past: 60 * past.of / rate)
TO_WAX = Measure("metal_to_wax", 2, True, lambda ratio, past: ratio * past.of)


Columns = Callable[[float], dict[str, Any]]
"""The columns of a row with an offered figure in them."""


@dataclass(frozen=True, slots=True)
class Take:
    """Where a default stands: its row, what an offered figure makes of it, and which part of a table it is."""

    row: ShelfRow
    columns: Columns
    part: str = ""


@dataclass(frozen=True)
class Line:
    """One figure of a school: what past days say of it, and the default in use.

    `take` is None where no default is offered: `why_not` says so. `only_below`: more than the default is not offered.
    """

    key: str
    called: str
    measure: Measure
    figures: Sequence[Figure]
    default: float | None
    reader: Reader
    take: Take | None = None
    why_not: str = ""
    only_below: bool = False
    is_limit: bool = False
    """Whether the default is a limit that is asked above, and no estimate."""

    @cached_property
    def spread(self) -> Spread:
        """The figures as a distribution; a line has one figure at least."""
        found = spread_of([figure.value for figure in self.figures])
        assert found is not None
        return found

    @property
    def few(self) -> bool:
        """Whether there are so few that the next one may move them far."""
        return is_few(self.spread, rulebook())

    @property
    def default_called(self) -> str:
        """What the default in use is."""
        return _("asked about above") if self.is_limit else _("plans go by")

    @property
    def too_few(self) -> bool:
        """Whether there are too few to offer any default."""
        return self.spread.n < rulebook().limit("learning_least_figures")

    def words(self, value: float) -> str:
        """Return a value as it is shown."""
        exact = float(rounded(value, self.measure.places))
        if self.measure is TO_WAX:
            return f"{decimals(exact, self.measure.places)}{NARROW_SPACE}g"
        return self.reader.one(self.measure.name, exact)

    @cached_property
    def latest(self) -> list[Figure]:
        """The figures of the latest days that have one."""
        days: list[CastingDay] = []
        for figure in self.figures:
            if figure.day not in days:
                days.append(figure.day)
        last = sorted(days, key=lambda day: day.pour_at)[-int(rulebook().limit("learning_latest_days")) :]
        return [figure for figure in self.figures if figure.day in last]

    @cached_property
    def offer(self) -> Offer | None:
        """The median as a new default; None of too few figures, or where the shelf takes none."""
        if self.take is None or self.default is None or self.refused:
            return None
        offered = float(rounded(self.spread.median, self.measure.places))
        if self.only_below and offered > self.default:
            return None
        values = [figure.value for figure in self.figures]
        return offer_of(self.default, offered, values, self._comes_to, rulebook())

    def _comes_to(self, value: float) -> float:
        return sum(self.measure.comes_to(value, figure) for figure in self.latest)

    @cached_property
    def refused(self) -> str:
        """Why the shelf does not take the median, in a sentence; empty if it does."""
        if self.take is None:
            return ""
        row = copy.copy(self.take.row)
        for name, value in self.take.columns(float(rounded(self.spread.median, self.measure.places))).items():
            setattr(row, name, value)
        refused = row.refusals()
        return said_at_box(refused[0], self.reader.units) if refused else ""

    @property
    def changed(self) -> str:
        """What the offered figure would have changed on the latest days."""
        assert self.offer is not None
        change = self.offer.changed
        more = change > 0
        if self.measure.grams:
            sentence = _("%(change)s more metal weighed out") if more else _("%(change)s less metal weighed out")
            words = weighed_on(rounded(abs(change)), self.reader.units)
        else:
            sentence = _("%(change)s more planned") if more else _("%(change)s less planned")
            words = self.reader.one("change_min", float(rounded(abs(change), 0)))
        days = len({figure.day.pk for figure in self.latest})
        told = {"days": days, "change": sentence % {"change": words}}
        return _("On the latest days with such figures (%(days)d): %(change)s.") % told

    @property
    def rows(self) -> list[tuple[CastingDay, str, str, str]]:
        """The latest figures one by one, the latest first: the day, its date, the flask, the figure."""
        zone = self.reader.school.tz
        latest = sorted(self.figures, key=lambda one: (one.day.pour_at, one.where), reverse=True)[:ROWS]
        return [
            (one.day, day_date(one.day.pour_at.astimezone(zone)), one.where, self.words(one.value)) for one in latest
        ]


@dataclass(frozen=True, slots=True)
class Topic:
    """Lines under one heading; `missing` says what to note so that there is one."""

    slug: str
    called: str
    means: str
    missing: str
    lines: Sequence[Line]


def line_of(topics: Iterable[Topic], key: str) -> Line | None:
    """Return the line of a key; None if there is none."""
    return next((line for topic in topics for line in topic.lines if line.key == key), None)
