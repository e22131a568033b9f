"""Cautions about a school's room, people and kit. A fact that is not recorded counts as the worse case."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace

from casting.calc.cautions.kiln_night import KilnNight
from casting.calc.cautions.materials import in_order, zinc_of
from casting.calc.cautions.rulebook import raised
from casting.calc.cautions.school_record import FACTS, LEFT_ALONE, SafetyRecord
from casting.calc.cautions.vacuum import vacuum_cautions
from casting.calc.values.day_input import DayInput
from casting.calc.values.day_plan import Caution
from casting.calc.values.sentence import say, together

ALWAYS = ("R-29", "R-30", "one-pour", "dry-run", "one-cup", "melt-ready", "leftover", "nobody-crosses", "door-shut")
AFTER = ("no-reheat", "gas-alarm")


def safety_cautions(
    record: SafetyRecord, day: DayInput, alloys: Collection[str] | None = None, night: KilnNight | None = None
) -> tuple[Caution, ...]:
    """Return the cautions about a school's room, people and kit on a day.

    Parameters
    ----------
    record : SafetyRecord
        The school's facts; None counts as the worse case and is named in the words.
    day : DayInput
        The day: its metals, and the words of the rules.
    alloys : collection of str, optional
        Keys of the metals that are poured; without them every metal that is offered counts.
    night : KilnNight, optional
        What the plan knows of its kilns' hours alone; it outranks what was recorded. None before there is a plan.

    Returns
    -------
    tuple of Caution
        STOP, then WARN, then SAY, by id within each.
    """
    return in_order(SafetyRules(record, day, night).cautions(day.alloys if alloys is None else alloys))


class SafetyRules:
    """The rules about room, people and kit, each beside the facts it asks for."""

    def __init__(self, record: SafetyRecord, day: DayInput, night: KilnNight | None = None) -> None:
        self.facts, self.day, self.book, self.night = record, day, day.rulebook, night

    def cautions(self, alloys: Collection[str]) -> Iterator[Caution]:
        """Every caution that the facts raise, for the metals of these keys."""
        for rule in (*ALWAYS, *AFTER):
            yield self._caution(rule)
        yield from self._of_fumes(alloys)
        yield from self._of_kiln()
        yield from self._of_kiln_heat()
        yield from self._of_melter()
        yield from self._of_help()
        yield from self._of_people()
        yield from self._of_things()
        yield from vacuum_cautions(self.facts, self.book)

    def _caution(self, rule: str, *facts: str, **figures: object) -> Caution:
        """The rule's caution; it names those of its facts that nobody recorded."""
        caution = raised(self.book, rule, **figures)
        unknown = [FACTS[name].short for name in facts if getattr(self.facts, name) is None]
        if not unknown:
            return caution
        return _with(caution, say("Not recorded, ask: {facts:,}.", facts=unknown))

    def _of_fumes(self, alloys: Collection[str]) -> Iterator[Caution]:
        """A little zinc without a known fan; much of it, or unknown, with one: R-01b asks for the fan otherwise."""
        fan, little = self.facts.melt_extraction is True, self.book.limit("zinc_little_pct")
        for alloy in (self.day.alloys[key] for key in sorted(alloys)):
            zinc = zinc_of(alloy)
            if fan and (zinc is None or zinc > little):
                yield self._caution("fan-running", alloy=alloy.called)
            elif not fan and zinc is not None and 0 < zinc <= little:
                yield self._caution("R-01c", "melt_extraction", alloy=alloy.called)

    def _of_kiln(self) -> Iterator[Caution]:
        facts = self.facts
        near = facts.people_near_kiln is not False
        if facts.kiln_vent_outside is False:
            yield self._caution("R-19a")
        elif facts.kiln_vent_outside is None or facts.kiln_extraction is not True:
            yield self._caution("R-19c", "kiln_vent_outside", "kiln_extraction")
        elif near or facts.co_alarm is not True:
            yield self._caution("R-19c", "people_near_kiln", "co_alarm")
        if near and facts.co_alarm is not True:
            yield self._caution("R-19b", "people_near_kiln", "co_alarm")
        yield from self._of_hours_alone()

    def _of_kiln_heat(self) -> Iterator[Caution]:
        """Each kiln of the day of which nobody recorded how hot it gets."""
        top_c = max((firing.top_c for firing in self.day.firings), default=0.0)
        for kiln in self.day.kilns:
            if kiln.max_c is None and top_c:
                yield self._caution("kiln-heat-ask", kiln=kiln.called, top=top_c)

    def _of_hours_alone(self) -> Iterator[Caution]:
        """A kiln that is left alone: by the record, or by the plan where it says more than the record."""
        facts, night, recorded = self.facts, self.night, self.facts.hours_unattended
        planned = 0.0 if night is None or night.alone_min is None else night.alone_min / 60
        unknown = recorded is None or (night is not None and night.alone_min is None)
        hours = max(recorded or 0.0, planned)
        if not hours and not unknown:
            return
        told = _by_the_plan(facts, night)
        answered = all(getattr(facts, name) is True for name in LEFT_ALONE)
        watched = night is None or not night.top_heat_alone
        if answered and watched and not unknown:
            yield _with(self._caution("R-20a-say"), told)
        else:
            yield _with(self._caution("R-20a", "hours_unattended", *LEFT_ALONE), told)
        needed = ("over_temperature_cutoff", "co_alarm", "on_call")
        if not all(getattr(facts, name) is True for name in needed):
            yield _with(self._caution("R-20b", "hours_unattended", *needed), told)
        if hours > self.book.limit("kiln_alone_h"):
            yield _with(self._caution("N-23", hours=round(hours, 1)), told)

    def _of_melter(self) -> Iterator[Caution]:
        facts = self.facts
        if facts.melter in (None, "torch"):
            yield self._caution("R-16a", "melter")
            yield self._caution("R-16b", "leak_test")  # today's, whatever the school does as a rule
            if facts.fuel in (None, "acetylene"):
                yield self._caution("R-17a", "fuel")
            if facts.fuel in (None, "lpg"):
                yield self._caution("R-17b", "fuel")
            if facts.oxygen is not False:
                yield self._caution("R-17c", "oxygen")
        if facts.melter in (None, "electric"):
            yield self._caution("R-18a", "melter")
        if facts.melter in (None, "induction"):
            yield self._caution("R-18b", "melter")
        if facts.melter in ("electric", "induction") and self.day.rules.melter_min is None:
            yield self._caution("melter-time-ask")

    def _of_help(self) -> Iterator[Caution]:
        facts = self.facts
        walk_s = self.book.limit("eyewash_walk_s")
        near = facts.eyewash is True and facts.eyewash_s is not None and facts.eyewash_s <= walk_s
        wanted = {
            say("an eyewash within {walk_s} seconds", walk_s=walk_s): near,
            say("an extinguisher"): facts.extinguisher is True,
            say("a first-aider"): facts.first_aider is True,
        }
        lacking = [what for what, there in wanted.items() if not there]
        if lacking:
            asked = ["eyewash", "extinguisher", "first_aider"]
            if facts.eyewash is not False:
                asked.insert(1, "eyewash_s")
            yield self._caution("R-35", *asked, help=say("{lacking:,}", lacking=lacking))
        if facts.data_sheets is not True:
            yield self._caution("R-39", "data_sheets")

    def _of_people(self) -> Iterator[Caution]:
        facts = self.facts
        age, adult = facts.youngest_age, self.book.limit("adult_years")
        from_age, mixes = facts.hot_work_from_age, facts.mixes_from_age
        if age is None or age < max(adult, from_age or adult):
            yield self._caution("R-27a", "youngest_age")
        young = adult if from_age is None else max(self.book.limit("young_years"), from_age)
        if age is None or age < young:
            yield self._caution("R-27b", "youngest_age", "hot_work_from_age")
        if age is None or age <= self.book.limit("child_years"):
            yield self._caution("R-28", "youngest_age")
        if age is None or mixes is None or age < max(adult, mixes):
            yield self._caution("R-14a", "youngest_age", "mixes_from_age")
        yield from self._of_numbers()

    def _of_numbers(self) -> Iterator[Caution]:
        students, adults, most = self.facts.students, self.facts.adults, self.facts.students_per_adult
        figures = {
            "students": say("not recorded") if students is None else students,
            "adults": say("not recorded") if adults is None else adults,
        }
        if students is None or adults is None:
            yield self._caution("N-22-warn", "students", "adults", **figures)
            return
        if most is not None and students > most * adults:
            yield self._caution("R-34b", limit=most, **figures)
        if students > self.book.limit("most_students_per_adult") * adults:
            yield self._caution("N-22-stop", **figures)
        elif students > self.book.limit("advised_students_per_adult") * adults:
            yield self._caution("N-22-warn", **figures)

    def _of_things(self) -> Iterator[Caution]:
        """The rule for each item in use or not recorded as unused."""
        rules = {
            "R-24": "pickle",
            "R-25a": "solvents",
            "R-25b": "solvents",
            "R-15": "bell_jar",
            "R-40": "steam_dewax",
            "R-26": "lamp",
            "R-36": "outdoors",
            "R-31": "unknown_metal",
            "R-32a": "asbestos",
            "R-32b": "old_fibre",
        }
        for rule, fact in rules.items():
            if getattr(self.facts, fact) is not False:
                yield self._caution(rule, fact)


def without_fan_stop(cautions: Iterable[Caution], record: SafetyRecord) -> tuple[Caution, ...]:
    """Return a plan's cautions as this school asks them: where a fan is recorded, "fan-running" asks for R-01b.

    Parameters
    ----------
    cautions : iterable of Caution
        Those of a day file or its plan, which know no record.
    record : SafetyRecord
        The school's facts.

    Returns
    -------
    tuple of Caution
        The same, without R-01b if there is a fume fan at the melt.
    """
    fan = record.melt_extraction is True
    return tuple(caution for caution in cautions if not (fan and caution.id == "R-01b"))


def _with(caution: Caution, told: str) -> Caution:
    return replace(caution, text=together([caution.text, told])) if told else caution


def _by_the_plan(facts: SafetyRecord, night: KilnNight | None) -> str:
    """What the plan says of the kiln's hours alone where it is more than the record says; both are named."""
    if night is None:
        return ""
    if night.alone_min is None:
        return say("The school's hours are not recorded, so nobody is known to be there.")
    told = []
    recorded, planned = facts.hours_unattended, night.alone_min
    if planned and (recorded is None or planned > recorded * 60):
        span = {"hours": planned // 60, "minutes": planned % 60}
        if recorded is None:
            told.append(say("Alone by this plan {hours} h {minutes:02} min.", **span))
        else:
            words = "Alone, recorded: {recorded} h; by this plan {hours} h {minutes:02} min."
            told.append(say(words, recorded=recorded, **span))
    if night.top_heat_alone and facts.top_heat_watched is True:
        told.append(say("Top heat, recorded: somebody there; by this plan the school is closed then."))
    return together(told) if told else ""
