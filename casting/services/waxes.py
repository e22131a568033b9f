"""Handing in a wax, changing it, taking it back: the only writers of waxes.

Phones on weak Wi-Fi send the same wax again when no answer came; the key made on the phone
ensures that the wax is stored once.
"""

from __future__ import annotations

import itertools
import uuid
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.dayfile.rules_file import rulebook
from casting.models import CastingDay, Plan, Wax, WaxChange
from casting.models.wax_entry import WaxEntry, entry_of, recorded
from casting.selectors.kept_shelf import MADE_OF
from casting.services.day_shut import locked_open, refuse_if_shut
from school.models import Person, Student

LETTERS = "ACEFHJKLMNPRTVWXY"
DIGITS = "23456789"
"""No B D G I O Q S U Z, no 0 and 1: the others are unambiguous in small handwriting."""
JOINED = tuple(name for name, _model in MADE_OF)
"""The rows of the shelf that an entry is made of."""


class NotWritten(Exception):
    """A wax that was not written, and why, in a sentence for the student."""

    def __init__(self, sentence: str) -> None:
        self.sentence = sentence
        super().__init__(sentence)


class HandInClosed(NotWritten):
    """Waxes are no longer taken for that day."""


class Poured(NotWritten):
    """The first pour of the day has begun: nobody can cast one more wax on it."""


class TooMany(NotWritten):
    """The student has handed in as many waxes for the day as anybody may alone; a teacher can enter more."""


class Invested(NotWritten):
    """The wax is invested."""


class OtherContent(NotWritten):
    """The key was used for another wax."""


class Outdated(NotWritten):
    """The wax was changed by somebody else meanwhile; `wax` is its row as it is now."""

    def __init__(self, sentence: str, wax: Wax) -> None:
        self.wax = wax
        super().__init__(sentence)


def tags() -> Iterator[str]:
    """Every tag there is, in the order they are given: two in a row share no character."""
    count = len(LETTERS) * len(DIGITS)
    pairs = [(LETTERS[at % len(LETTERS)], DIGITS[at % len(DIGITS)]) for at in range(count)]
    yield from (letter + digit for letter, digit in pairs)
    yield from (digit + letter for letter, digit in pairs)
    yield from (first + second for first, second in itertools.product(LETTERS, LETTERS))


@transaction.atomic
def hand_in(
    day: CastingDay, student: Student, *, key: uuid.UUID, entry: WaxEntry, by: Person | None = None
) -> tuple[Wax, bool]:
    """Write the wax once, or return the row that is there already; True if it was written now.

    `by` is the teacher who hands it in for the student, which they may do after hand-in is closed.
    Raises `OtherContent` if the key belongs to another wax, `HandInClosed` or `Poured` if it is too late, `TooMany`
    if one student's waxes would use the day's tags up;
    a wax that was written in time is still returned.
    """
    locked = CastingDay.objects.select_for_update().get(pk=day.pk)
    # All that is asked of the day's waxes, in one look: nobody else writes meanwhile.
    waxes = list(Wax.objects.filter(day=day).order_by().values_list("key", "tag", "student_id"))
    if any(used == key for used, _tag, _of in waxes):
        there = Wax.objects.select_related(*JOINED).get(day=day, key=key)
        return _replayed(there, student, entry), False
    refuse_if_shut(locked, HandInClosed)
    _refuse_if_poured(locked)
    if by is None:
        _refuse_if_closed(locked)
        _refuse_if_too_many(sum(of == student.pk for _key, _tag, of in waxes))
    tag = _free_tag({tag for _key, tag, _of in waxes})
    wax = Wax.objects.create(day=day, student=student, key=key, tag=tag, **entry.columns())
    WaxChange.objects.create(wax=wax, before=None, after=recorded(entry), **_writer(by or student))
    return wax, True


def _replayed(there: Wax, student: Student, entry: WaxEntry) -> Wax:
    """The wax of this key, if this is the same hand-in sent again."""
    first = there.changes.order_by("pk").first()
    same = there.student_id == student.pk and first is not None and first.after == recorded(entry)
    if not same:
        raise OtherContent(_("This wax was already sent with other figures. Open My waxes and change it there."))
    return there


def _refuse_if_poured(day: CastingDay) -> None:
    if day.pour_has_begun():
        raise Poured(
            _("The first pour of this casting day has begun: it takes no more waxes. Take it to the next one.")
        )


def _refuse_if_closed(day: CastingDay) -> None:
    if not day.hand_in_open():
        raise HandInClosed(_("Hand-in for this casting day is closed. Ask your teacher."))


def _refuse_if_too_many(own: int) -> None:
    """Raise `TooMany` at the limit of one student; withdrawn waxes count, as their tags are never given again."""
    most = round(rulebook().limit("student_most_waxes"))
    if own >= most:
        sentence = _(
            "You have handed in %(most)d waxes for this day, which is the most for one person. Ask your teacher."
        )
        raise TooMany(sentence % {"most": most})


def invested(day: CastingDay) -> dict[str, str]:
    """The invested waxes by tag, each with the reason why a student cannot change it. Two queries at most."""
    labels = day.states()
    last = Plan.objects.latest_of(day) if labels else None
    sentence = _("Wax %(tag)s is invested in flask %(label)s and stays as it is. Ask your teacher.")
    return {
        there["key"]: sentence % {"tag": there["key"], "label": flask["label"]}
        for flask in (last.file["flasks"] if last else [])
        if flask["label"] in labels
        for there in flask["waxes"]
    }


def _refuse_if_invested(day: CastingDay, wax: Wax) -> None:
    """Raise `Invested` if the wax is: every later plan keeps its flask as it is."""
    sentence = invested(day).get(wax.tag)
    if sentence:
        raise Invested(sentence)


def _free_tag(given: set[str]) -> str:
    """The first tag that no wax of the day has had, withdrawn ones included."""
    for tag in tags():
        if tag not in given:
            return tag
    raise NotWritten(_("This day has no tags left. Ask your teacher."))


@transaction.atomic
def change(wax: Wax, *, by: Student | Person, version: int, entry: WaxEntry) -> Wax:
    """Write other figures for a wax, if it still is the version that was looked at."""
    return _write(wax, by, version, recorded(entry), entry.columns())


@transaction.atomic
def take_second_choice(wax: Wax, *, by: Person, version: int) -> Wax:
    """Cast a wax in its student's second-choice metal; the first choice takes its place, so that this can be undone.

    Raises `NotWritten` if there is none, if the day does not offer it any more, or if its flask is invested.
    """
    day = locked_open(wax.day_id, HandInClosed)
    now = Wax.objects.select_related(*JOINED).get(pk=wax.pk)
    words = {"tag": now.tag}
    if now.second_alloy is None:
        raise NotWritten(_("Wax %(tag)s has no second-choice metal. Change its metal on its own page.") % words)
    if now.tag in invested(day):
        raise Invested(_("Wax %(tag)s is invested, so its metal stays as planned.") % words)
    if not day.alloys.filter(pk=now.second_alloy.pk).exists():
        sentence = _("This day does not offer %(metal)s any more. Change the day, or choose another metal for %(tag)s.")
        raise NotWritten(sentence % (words | {"metal": now.second_alloy.name}))
    entry = replace(entry_of(now), alloy=now.second_alloy, second_alloy=now.alloy)
    return _write(now, by, version, recorded(entry), entry.columns())


@transaction.atomic
def withdraw(wax: Wax, *, by: Student | Person, version: int) -> Wax:
    """Take a wax back; its row and its tag stay, so that it can be brought back."""
    return _write(wax, by, version, {"withdrawn": True}, {"withdrawn_at": timezone.now()})


@transaction.atomic
def bring_back(wax: Wax, *, by: Student | Person, version: int) -> Wax:
    """Hand a withdrawn wax in again, under its old tag."""
    return _write(wax, by, version, {"withdrawn": False}, {"withdrawn_at": None})


def _write(wax: Wax, by: Student | Person, version: int, after: dict[str, Any], columns: dict[str, Any]) -> Wax:
    """Write columns of a wax and the record of it, if the version is still the one looked at.

    A student's phone that got no answer sends the same again: what was written by it is returned as it stands.
    """
    CastingDay.objects.select_for_update().get(pk=wax.day_id)
    if isinstance(by, Student) and (there := _written_before(wax, by, version, after)):
        return there
    day = locked_open(wax.day_id, HandInClosed)
    if isinstance(by, Student):
        _refuse_if_closed(day)
        _refuse_if_invested(day, wax)
    now = Wax.objects.select_related(*JOINED).get(pk=wax.pk)
    written = Wax.objects.filter(pk=wax.pk, version=version).update(version=F("version") + 1, **columns)
    if not written:
        sentence = _("This wax was changed on another screen in the meantime. Look at both and save again.")
        raise Outdated(sentence, now)
    before = {"withdrawn": now.withdrawn_at is not None} if "withdrawn" in after else recorded(entry_of(now))
    WaxChange.objects.create(wax=wax, before=before, after=after, **_writer(by))
    return Wax.objects.select_related(*JOINED).get(pk=wax.pk)


def _written_before(wax: Wax, by: Student, version: int, after: dict[str, Any]) -> Wax | None:
    """The wax, if this very change of that version is the last that was written of it."""
    there = Wax.objects.select_related(*JOINED).get(pk=wax.pk)
    last = there.changes.order_by("pk").last()
    same = last is not None and last.before is not None and last.by_student_id == by.pk and last.after == after
    return there if same and there.version == version + 1 else None


def _writer(by: Student | Person) -> dict[str, Any]:
    return {"by_student": by} if isinstance(by, Student) else {"by_person": by}
