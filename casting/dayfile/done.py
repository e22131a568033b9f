"""Reader of what has been done when a plan is made again, and the words for a first pour that is too soon."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from casting.calc.schedule.lateness import Late, TooSoon
from casting.calc.values.day_plan import Spill
from casting.calc.values.enums import Do
from casting.calc.values.errors import Refused
from casting.calc.values.local_clock import MONTHS, WEEKDAYS
from casting.calc.values.sentence import Sentence, and_again, plain, say, together, words
from casting.dayfile.times import minutes_from, read_past, read_pour_at, show, show_at
from casting.dayfile.validation import (
    Reader,
    check_object,
    check_text,
    number,
    read_fields,
    read_items,
    refusal,
    step_in,
)
from casting.dayfile.waxes import check_label

CHARGE = number(least=0, most=100_000)
"""What a flask was to be charged with [g]."""


def read_done(
    given: Mapping[str, Any], fixed: Collection[str], kilns: Collection[str], pour_at: datetime, zone: ZoneInfo
) -> dict[str, Any]:
    """Return now and what was done before it, times in minutes from the first pour.

    Parameters
    ----------
    given : mapping of str to object
        The day file's `now`, `invested_at`, `poured`, `kiln_on_at`, `charged_g` and `spilled`.
    fixed, kilns : collection of str
        Labels of the fixed flasks, keys of the kilns.
    pour_at : datetime
        The first pour.
    zone : ZoneInfo
        The day's zone.

    Returns
    -------
    dict of str to object
        Arguments of `DayInput`.
    """
    now = None if given["now"] is None else minutes_from(pour_at, read_pour_at(given["now"], "now", zone))
    poured = read_items(given["poured"], "poured", check_text)
    for nth, label in enumerate(poured):
        if label not in fixed or label in poured[:nth]:
            raise refusal(f"poured[{nth}]", label, "it is no flask of `fixed`, or stands twice", "take it out")

    def times(name: str, known: Collection[str], what: str) -> dict[str, int]:
        done = check_object(given[name], name)
        for key in done:
            if key not in known:
                raise Refused(step_in(name, key), say("there is no such {what}; take the line out.", what=plain(what)))
        return {key: read_past(at, step_in(name, key), pour_at, zone, now) for key, at in done.items()}

    charged = check_object(given["charged_g"], "charged_g")
    for label in charged:
        if label not in fixed:
            raise Refused(step_in("charged_g", label), "there is no such flask among `fixed`; take the line out.")
    return {
        "charged_g": {label: CHARGE(grams, step_in("charged_g", label)) for label, grams in charged.items()},
        "now": now,
        "invested_at": times("invested_at", fixed, "flask among `fixed`"),
        "poured": poured,
        "kiln_on_at": times("kiln_on_at", kilns, "kiln"),
        "spilled": _spilled(given["spilled"], lambda at, place: read_past(at, place, pour_at, zone, now)),
    }


def _spilled(value: object, past: Reader[int]) -> tuple[Spill, ...]:
    """Return the bowls that spilled."""
    readers: Mapping[str, Reader[Any]] = {**SPILLED, "at": past}
    return read_items(value, "spilled", lambda one, place: Spill(**read_fields(one, place, readers)))


def _flasks(value: object, place: str) -> tuple[str, ...]:
    """Return the labels of the flasks that a bowl was mixed for, one at least and none twice."""
    labels = read_items(value, place, check_label)
    if not labels:
        raise refusal(place, value, "a bowl is mixed for a flask", "name the flasks")
    for nth, label in enumerate(labels):
        if label in labels[:nth]:
            raise refusal(f"{place}[{nth}]", label, "it stands twice", "take it out")
    return labels


SPILLED: Mapping[str, Reader[Any]] = {
    "flasks": _flasks,
    "powder_g": number(over=0, most=100_000),
    "water_g": number(least=0, most=100_000),
}
"""A bowl that spilled, beside when."""


class PourTooSoon(Refused):
    """A day whose first pour is too soon; `earliest` is the first that would do, None if none does."""

    def __init__(self, sentence: str, earliest: datetime | None) -> None:
        self.earliest = earliest
        super().__init__("pour_at", sentence)


def too_soon(refused: TooSoon, kilns: Mapping[str, str], pour_at: datetime, zone: ZoneInfo) -> PourTooSoon:
    """Return the refusal of a first pour with its clock times.

    Parameters
    ----------
    refused : TooSoon
        The step that cannot be done, and the earliest first pour.
    kilns : mapping of str to str
        What each kiln is called, by its key.
    pour_at : datetime
        The first pour.
    zone : ZoneInfo
        The day's zone.

    Returns
    -------
    PourTooSoon
        At `pour_at`: what stands there, which flask or kiln it is too soon for, what is possible.
    """

    def clock(minutes: int) -> Sentence:
        return _clock(datetime.fromisoformat(show(pour_at, minutes, zone)))

    wrong = _wrong(refused.late, kilns, clock(refused.late.at), clock(refused.late.not_before))
    if refused.earliest is not None:
        mend = [say("The earliest first pour is {time}.", time=clock(refused.earliest))]
    elif refused.late.do is Do.LOAD:
        mend = [say("Undo the note that the kiln is on, if it is not; else take its waxes out of this day.")]
    else:
        mend = [say("No later first pour within 8 days would do.")]
    if refused.late.do in (Do.KILN_ON, Do.LOAD) and refused.earliest is not None:
        mend.append(say("If the kiln is on already, note it first."))
    too_soon = words("the first pour on {time} is too soon: {wrong}. {mend}")
    earliest = None if refused.earliest is None else show_at(pour_at, refused.earliest, zone)
    return PourTooSoon(say(too_soon, time=clock(0), wrong=wrong, mend=together(mend)), earliest)


def _clock(at: datetime) -> Sentence:
    words = "{weekday} {day} {month} {time}"
    return say(words, weekday=WEEKDAYS[at.weekday()], day=at.day, month=MONTHS[at.month - 1], time=f"{at:%H:%M}")


def _wrong(late: Late, kilns: Mapping[str, str], at: Sentence, not_before: Sentence) -> Sentence:
    """What comes too soon, as a sentence without its stop."""
    if late.do in OF_FLASK and len(late.what) > 1:
        label, kiln = late.what
        return say(OF_FLASK[late.do], flask=label, kiln=kilns[kiln], at=at, before=not_before)
    names = and_again([kilns.get(one, one) for one in late.what])
    should = say(SHOULD.get(late.do, ANY), names=names)
    return say("{should} on {at} and it is now {now}", should=should, at=at, now=not_before)


OF_FLASK = {
    Do.SET: words("flask {flask} sets until {before}, but {kiln} would be loaded on {at}"),
    Do.LOAD: words("{kiln} has been on since {at}, and flask {flask} is not invested"),
    Do.SOAK: words("flask {flask} in {kiln} has not soaked before {before}"),
}
"""What is too soon for one flask in a kiln."""
SHOULD: Mapping[Do, str] = {
    Do.MIX: words("the mix of {names} should have started"),
    Do.LOAD: words("{names} should have been loaded"),
    Do.KILN_ON: words("{names} should have gone on"),
    Do.MELT: words("the melt for {names} should have started"),
    Do.POUR: words("the next flask should have come out of {names}"),
}
"""What should have been done before now."""
ANY = words("a step of {names} should have started")
