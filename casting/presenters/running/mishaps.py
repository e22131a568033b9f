"""What went wrong on a day as a page shows it, and the questions to somebody who presses "Something went wrong"."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from functools import cached_property

from django.utils import timezone
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from casting.calc.values.mishap import ANSWERS, NOT_POURED, Fate, Left, Mishap
from casting.dayfile.mishaps_file import steps_at_once
from casting.models import FlaskMishap, Recast
from casting.presenters.figure_words import Reader
from casting.presenters.formats import clock_time, degrees_at_least
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.running.expected import Expected
from casting.presenters.running.mishap_words import ASKED, KINDS, NOTED, STEPS, left_words
from casting.presenters.sources import told
from casting.selectors.account.flasks import labels_with_metal

FRESH = timedelta(minutes=15)
"""So long what to do at once stands open on the page; then it is folded."""
IN_KILN = (Mishap.POWER, Mishap.LATE, Mishap.CRACKED)
"""What is seen in the kiln room."""


@dataclass(frozen=True, slots=True)
class Choice:
    """Something that can go wrong: what to do at once, and what is asked; `rests_on` says what the steps are worth."""

    kind: str
    words: str
    steps: Sequence[str]
    rests_on: str
    asked: str
    answers: Sequence[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class PieceLine:
    """A piece of a flask with which something went wrong."""

    tag: str
    student: str
    fate: str
    words: str

    @property
    def is_open(self) -> bool:
        """Whether somebody has to look at it."""
        return self.fate == Fate.LOOK


@dataclass(frozen=True, slots=True)
class MetLine:
    """What went wrong with a flask: in words, by whom, what to do, what follows, and its pieces."""

    row: FlaskMishap
    words: str
    left: str
    at: str
    steps: Sequence[str]
    follows: Sequence[str]
    pieces: Sequence[PieceLine]
    is_fresh: bool
    """Whether it is so fresh that what to do at once stands open."""


class WentWrong:
    """What went wrong on a day, and what can be noted. No query before something is, then two, however much it is."""

    def __init__(
        self,
        opened: OpenedPlan,
        expected: Mapping[str, Expected],
        mishaps: Sequence[FlaskMishap],
        in_hand: str = "",
        kiln: str = "",
    ) -> None:
        self.opened, self.day, self.expected = opened, opened.plan.day, expected
        self.mishaps, self.in_hand, self.kiln = mishaps, in_hand, kiln
        self.reader = Reader(opened.school)

    @cached_property
    def flasks(self) -> list[tuple[str, str]]:
        """What something can have gone wrong with: the value of the choice, and its words; all of a kiln at last."""
        of = [one for one in self.opened.sheet.flasks if one.invested or one.poured]
        if not self.kiln:
            return [(one.label, one.label) for one in of if not one.given_back]
        waiting = [one.label for one in of if one.kiln == self.kiln and one.label in self.expected and not one.poured]
        every = [(",".join(waiting), _("all of them"))] if len(waiting) > 1 else []
        return every + [(label, label) for label in waiting]

    @property
    def chosen(self) -> str:
        """What is chosen already: the flask in hand, or a kiln's only one; else somebody has to choose."""
        values = [value for value, _words in self.flasks]
        if self.kiln:
            return values[0] if len(values) == 1 else ""
        return self.in_hand if self.in_hand in values else ""

    @property
    def choices(self) -> list[Choice]:
        """What can be noted here."""
        return [self._choice(kind) for kind in (IN_KILN if self.kiln else Mishap)]

    def _choice(self, kind: Mishap) -> Choice:
        answers = [(f"{kind}-{left}", self._left(kind, left)) for left in ANSWERS[kind]]
        return Choice(kind, str(KINDS[kind]), steps_of(kind), self._rests_on(kind), str(ASKED[kind]), answers)

    def _left(self, kind: Mishap, left: Left) -> str:
        return left_words(kind, left) % {"limit": reheat_from(self.opened)}

    def _rests_on(self, kind: Mishap) -> str:
        """What its steps rest on, each source once."""
        rows = [{"source": one.source, "status": one.status} for one in steps_at_once() if kind in one.kinds]
        said = (told(self.reader, row) for row in rows)
        words = [f"{source} ({worth})" if source else capfirst(worth) for source, worth, _memory in said]
        return ". ".join(dict.fromkeys(words))

    @cached_property
    def noted(self) -> list[MetLine]:
        """What went wrong, the latest first; in the kiln room of its own flasks."""
        home = {flask.label: flask.kiln for flask in self.opened.sheet.flasks}
        rows = [one for one in self.mishaps if one.label in home]
        if self.kiln:
            rows = [one for one in rows if home[one.label] == self.kiln and one.kind in IN_KILN]
        if not rows:
            return []
        pieces = list(Recast.objects.filter(wax__day=self.day).select_related("wax__student"))
        tags = {flask.label: {wax.name.tag for wax in flask.waxes} for flask in self.opened.sheet.flasks}
        return [self._line(row, [one for one in pieces if one.wax.tag in tags[row.label]]) for row in rows[::-1]]

    def _line(self, row: FlaskMishap, pieces: Iterable[Recast]) -> MetLine:
        kind, left = Mishap(row.kind), Left(row.left)
        words = capfirst(str(NOTED[kind]) % {"label": row.label})
        lines = [PieceLine(one.wax.tag, one.wax.student.called, one.fate, one.get_fate_display()) for one in pieces]
        at = clock_time(row.at.astimezone(self.opened.day.zone))
        fresh = timezone.now() - row.at < FRESH
        return MetLine(row, words, self._left(kind, left), at, steps_of(kind), self._follows(row, left), lines, fresh)

    def _follows(self, row: FlaskMishap, left: Left) -> list[str]:
        """What follows for the day: its metal, and the pours to come."""
        said, words = [], {"label": row.label}
        if left in NOT_POURED:
            said.append(_("%(label)s is not poured.") % words)
        if left in NOT_POURED or left is Left.NONE or left is Left.METAL:
            said.append(self._metal(row.label, left))
        times = [f"{one.label} {clock_time(one.out_at)}" for one in self.expected.values() if not one.poured]
        if times:
            said.append(_("Pours now: %(times)s.") % {"times": ", ".join(times)})
        return [one for one in said if one]

    @cached_property
    def _with_metal(self) -> frozenset[str]:
        return labels_with_metal(self.day)

    def _metal(self, label: str, left: Left) -> str:
        """Where its metal is in the account."""
        if label not in self._with_metal:
            return ""
        if left in NOT_POURED:
            sentence = _("Its metal is booked as weighed out: take that back on the page Metal account.")
        else:
            sentence = _(
                "Its metal stays booked in flask %(label)s. Weigh back what comes out and off the table, then settle "
                "it on the page Metal account."
            )
        return sentence % {"label": label}


def steps_of(kind: Mishap) -> list[str]:
    """Return what to do at once, in order."""
    return [str(STEPS[step.id]) for step in steps_at_once() if kind in step.kinds]


def reheat_from(opened: OpenedPlan) -> str:
    """Return the temperature below which a flask is not heated again."""
    return degrees_at_least(opened.sheet.day.rulebook.limit("reheat_from_c"), opened.units)
