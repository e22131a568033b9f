"""Every step of a plan beside the hours when somebody is there: what needs a person who is not, and what helps."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from casting.calc.cautions.kiln_night import Span, while_closed
from casting.calc.cautions.rulebook import raised
from casting.calc.values.day_input import DayInput, Kiln, WorkingDay
from casting.calc.values.day_plan import Caution, FiringPlan, Step
from casting.calc.values.enums import Do
from casting.calc.values.local_clock import LocalClock
from casting.calc.values.marked_text import named
from casting.calc.values.sentence import Figure, Sentence, say

AT_THE_BENCH: Mapping[Do, Sentence] = {
    Do.HAND_IN_CLOSES: say("hand-in closing"),
    Do.MOUNT: say("mounting"),
    Do.MIX: say("mixing"),
    Do.LOAD: say("loading"),
    Do.MELT: say("melting for"),
    Do.POUR: say("pouring"),
    Do.QUENCH: say("quenching"),
    Do.DIVEST: say("cleaning out"),
}
"""The steps that somebody does by hand. A flask sets by itself; of a kiln see `KilnAlone`."""

NAMELESS = (Do.HAND_IN_CLOSES, Do.MOUNT)
"""The steps that are of the class and not of a flask."""


@dataclass(frozen=True, slots=True)
class KilnAlone:
    """What one kiln's firing asks of people while nobody is there [min from the first pour].

    `on_at` is when it goes on, None if somebody is there or it is on; `turns` when it has to be set to its next
    temperature; `spans` from when until when it is on; `top_heat` what of that it is at its top.
    """

    kiln: Kiln
    on_at: int | None
    turns: tuple[int, ...]
    spans: tuple[Span, ...]
    top_heat: tuple[Span, ...]

    def in_words(self, clock: LocalClock) -> str:
        """Return when it is on alone, and when it is at its top meanwhile.

        Parameters
        ----------
        clock : LocalClock
            The studio's.

        Returns
        -------
        str
            As in "Fri 19:47 to Sat 08:00, top heat Sat 04:05 to 07:05".
        """
        spans = [clock.show_span(*span) for span in self.spans]
        top = [clock.show_span(*span) for span in self.top_heat]
        return say("{spans}, top heat {top}", spans=spans, top=top) if top else say("{spans}", spans=spans)


def somebody_is_there(at: int, until: int, hours: Sequence[WorkingDay]) -> bool:
    """Tell whether somebody is there all the time.

    Parameters
    ----------
    at, until : int
        From when until when [min from the first pour].
    hours : sequence of WorkingDay
        The days on which somebody is there.

    Returns
    -------
    bool
        True if one day's hours hold both.
    """
    return any(day.opens <= at and until <= day.closes for day in hours)


def kilns_alone(firings: Iterable[FiringPlan], day: DayInput) -> tuple[KilnAlone, ...]:
    """Return what the kilns ask of people while nobody is there.

    Parameters
    ----------
    firings : iterable of FiringPlan
        The kilns' runs.
    day : DayInput
        The day: its hours, its kilns, and what is done of their runs.

    Returns
    -------
    tuple of KilnAlone
        One for each kiln that is ever on with nobody there; none if nobody recorded the hours.
    """
    if not day.hours:
        return ()
    found = [_alone(firing, day) for firing in firings]
    return tuple(one for one in found if one.spans or one.on_at is not None or one.turns)


def _alone(firing: FiringPlan, day: DayInput) -> KilnAlone:
    kiln = next(kiln for kiln in day.kilns if kiln.key == firing.kiln)
    on, hours = firing.kiln in day.kiln_on_at, day.hours
    since = day.now if on and day.now is not None else firing.on_at
    turns = [one.starts_at for one in firing.segments[1:] if one.starts_at >= since]
    top_c = max(one.to_c for one in firing.segments)
    top = [(max(since, one.reached_at), one.ends_at) for one in firing.segments if one.to_c == top_c]
    return KilnAlone(
        kiln,
        None if on or somebody_is_there(firing.on_at, firing.on_at, hours) else firing.on_at,
        tuple(turn for turn in turns if not somebody_is_there(turn, turn, hours)),
        tuple(_joined(while_closed((since, firing.segments[-1].ends_at), hours))),
        tuple(_joined(piece for span in top for piece in while_closed(span, hours))),
    )


def _joined(spans: Iterable[Span]) -> Iterator[Span]:
    """Spans in order, those that meet as one."""
    now: Span | None = None
    for span in spans:
        if now is not None and span[0] <= now[1]:
            now = (now[0], span[1])
            continue
        if now is not None:
            yield now
        now = span
    if now is not None:
        yield now


def people_cautions(steps: Sequence[Step], firings: Sequence[FiringPlan], day: DayInput) -> Iterator[Caution]:
    """Yield what a plan asks of people who are not there.

    Parameters
    ----------
    steps : sequence of Step
        The plan's steps, in order.
    firings : sequence of FiringPlan
        The kilns' runs.
    day : DayInput
        The day.

    Yields
    ------
    Caution
        One question if nobody recorded the hours; else one for the bench, one for mixing and loading, and of a kiln
        one for each kind of help that it needs.
    """
    to_do = [step for step in steps if not (step.flasks and set(step.flasks) <= set(day.poured))]
    if not day.hours:
        if to_do:
            yield raised(day.rulebook, "hours-unknown")
        return
    outside = [step for step in to_do if _is_undone(step, day)]
    kept_inside = (Do.MIX, Do.LOAD)
    for rule, of_rule in (
        ("hours-missed", [step for step in outside if step.do in kept_inside]),
        ("hours-bench", [step for step in outside if step.do not in kept_inside]),
    ):
        if of_rule:
            yield raised(day.rulebook, rule, steps=list(_told(of_rule, day)))
    waiting = {step.kiln for step in to_do}
    for alone in kilns_alone([firing for firing in firings if firing.kiln in waiting], day):
        yield from kiln_cautions(alone, day)


def _is_undone(step: Step, day: DayInput) -> bool:
    """Whether a step of the bench is still to be done, and nobody is there for it."""
    loaded = step.do is Do.LOAD and step.kiln in day.kiln_on_at
    return step.do in AT_THE_BENCH and not loaded and not somebody_is_there(step.at, step.until, day.hours)


def _told(steps: Iterable[Step], day: DayInput) -> Iterator[Sentence]:
    """Steps of the bench, those of a kind in one stretch with nobody there in one breath."""
    called, order = {kiln.key: kiln.called for kiln in day.kilns}, list(Do)

    def stretch(step: Step) -> tuple[int, int]:
        return sum(one.opens <= step.at for one in day.hours), order.index(step.do)

    for (_nth, do), group in groupby(sorted(steps, key=stretch), stretch):
        alike = list(group)
        doing = AT_THE_BENCH[order[do]]
        when = day.clock.show_span(min(one.at for one in alike), max(one.until for one in alike))
        if order[do] in NAMELESS:
            yield say("{doing} {when}", doing=doing, when=when)
            continue
        which = [label for step in alike for label in step.flasks]
        if order[do] is Do.LOAD:
            which = sorted({named(called[step.kiln or ""]) for step in alike})
        yield say("{doing} {which} {when}", doing=doing, which=which, when=when)


def kiln_cautions(alone: KilnAlone, day: DayInput) -> Iterator[Caution]:
    """Yield what one kiln needs while nobody is there.

    Parameters
    ----------
    alone : KilnAlone
        What its run asks of people.
    day : DayInput
        The day, for the words and the clock.

    Yields
    ------
    Caution
        A delayed start to set, or somebody to switch it on; somebody to set it where it does not set itself; a
        question for what nobody recorded of it; who is on call while it is on.
    """
    book, clock, kiln = day.rulebook, day.clock, alone.kiln
    at = clock.show(alone.on_at) if alone.on_at is not None else ""
    turns = say("{turns}", turns=[clock.show(turn) for turn in alone.turns]) if alone.turns else ""
    asked: dict[Figure, Figure] = {}
    if at and kiln.delayed_start:
        yield raised(book, "kiln-delayed-start", kiln=kiln.called, at=at)
    elif at and kiln.delayed_start is False:
        yield raised(book, "kiln-on-nobody", kiln=kiln.called, at=at)
    elif at:
        asked[say("a delayed start")] = say("to switch it on {at}", at=at)
    if turns and kiln.sets_itself is False:
        yield raised(book, "kiln-turn-nobody", kiln=kiln.called, turns=turns)
    elif turns and kiln.sets_itself is None:
        asked[say("a program")] = say("to set its next heat {turns}", turns=turns)
    if asked:
        one, *more = asked.values()
        when = say("{one}, nor {other}", one=one, other=more[0]) if more else one
        yield raised(book, "kiln-ask", kiln=kiln.called, has=list(asked), when=when)
    if alone.spans:
        yield raised(book, "kiln-alone", kiln=kiln.called, spans=alone.in_words(clock))


def with_on_call(
    cautions: Iterable[Caution], alone: Iterable[KilnAlone], who: str, day: DayInput
) -> tuple[Caution, ...]:
    """Return a plan's cautions as a school asks them that has named a person on call.

    Parameters
    ----------
    cautions : iterable of Caution
        Those of a plan, which knows no people.
    alone : iterable of KilnAlone
        What its kilns ask of people.
    who : str
        Name and telephone number of the person on call; empty if nobody is named.
    day : DayInput
        The day, for the words and the clock.

    Returns
    -------
    tuple of Caution
        The question who is on call gives way to a line with the name, one a kiln.
    """
    if not who:
        return tuple(cautions)
    told = [
        raised(day.rulebook, "kiln-alone-say", who=who, kiln=one.kiln.called, spans=one.in_words(day.clock))
        for one in alone
        if one.spans
    ]
    return (*(one for one in cautions if one.id != "kiln-alone"), *told)
