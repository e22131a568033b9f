"""The steps on a day's board in words: what was done, by whom and when."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from casting.models import BoardStep
from casting.selectors.board import RETURNS, shown_by


@dataclass(frozen=True, slots=True)
class StepWords:
    """A step in words, with who did it and when on the school's clock."""

    what: str
    who: str
    at: datetime
    revision: int


def words_of(step: BoardStep) -> StepWords:
    """Return a step of the board in words; of an undo or redo, those of the step that it takes back or does again."""
    zone = step.day.course.school.tz
    return StepWords(_said(step), step.by.name if step.by else "", step.at.astimezone(zone), step.plan.revision)


def _said(step: BoardStep) -> str:
    if step.did in RETURNS:
        taken = step.figures.get("of", "")
        words = _("Undone: %(what)s") if step.did == BoardStep.Did.UNDO else _("Done again: %(what)s")
        return words % {"what": done_in_words(taken, step.figures)}
    return done_in_words(step.did, step.figures)


def done_in_words(did: str, figures: Mapping[str, str]) -> str:
    """Return what a step did, from its figures."""
    given = {"tag": "", "from": "", "to": "", "other": "", "tags": "", "size": "", "label": "", "revision": ""} | dict(
        figures
    )
    if given.get("tier"):
        return _("%(tag)s to tier %(tier)s of %(to)s") % given
    return SENTENCES[did]() % given if did in SENTENCES else did


def label_of_undo(step: BoardStep | None) -> str:
    """What the button says that takes back the last step; empty if there is none."""
    return _said(shown_by(step)) if step is not None else ""


SENTENCES = {
    "planned": lambda: _("planned by the computer"),
    "carry": lambda: _("%(tag)s to flask %(to)s"),
    "spot": lambda: _("%(tag)s to another spot in %(to)s"),
    "turn": lambda: _("%(tag)s turned"),
    "nudge": lambda: _("%(tag)s nudged"),
    "out": lambda: _("%(tag)s left out"),
    "back": lambda: _("%(tag)s taken back in"),
    "swap": lambda: _("%(tag)s and %(other)s swapped"),
    "split": lambda: _("%(tags)s from %(from)s into a new flask %(to)s"),
    "size": lambda: _("flask %(label)s in size %(size)s"),
    "join": lambda: _("flask %(other)s joined to %(label)s"),
    "keep": lambda: _("kept: %(label)s%(tag)s"),
    "let_go": lambda: _("let go: %(label)s%(tag)s"),
    "anew": lambda: _("waxes of %(label)s set anew"),
    "fill": lambda: _("flask %(label)s filled up"),
    "place": lambda: _("room found for %(tags)s"),
    "withdraw": lambda: _("%(tag)s withdrawn"),
    "broke": lambda: _("%(tag)s broke"),
    "leak": lambda: _("flask %(label)s leaks: taken out of use today"),
    "spill": lambda: _("bowl of %(tags)s spilled"),
    "brought": lambda: _("revision %(revision)s brought back"),
}
"""By what was done."""
