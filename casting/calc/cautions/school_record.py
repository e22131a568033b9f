"""What a school has recorded of its room, people and kit -> cautions. Not recorded counts as the worse case."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

from casting.calc.cautions.materials import in_order, zinc_of
from casting.calc.cautions.rulebook import raised
from casting.calc.values.day_input import DayInput
from casting.calc.values.day_plan import Caution

ALWAYS = ("R-29", "R-30", "R-33", "dry-run", "one-cup", "melt-ready", "leftover", "nobody-crosses", "door-shut")
AFTER = ("no-reheat", "N-17")


@dataclass(frozen=True, slots=True)
class SafetyRecord:
    """The school's facts; None is "not recorded". Ages are years, from which students may do it themselves.

    `students` comes from the class of the day; `adults` are those in the room while metal is hot.
    """

    melt_extraction: bool | None = None
    kiln_extraction: bool | None = None
    kiln_vent_outside: bool | None = None
    people_near_kiln: bool | None = None
    co_alarm: bool | None = None
    over_temperature_cutoff: bool | None = None
    hours_unattended: float | None = None
    on_call: bool | None = None
    clear_of_kiln: bool | None = None
    top_heat_watched: bool | None = None
    melter: str | None = None
    fuel: str | None = None
    oxygen: bool | None = None
    leak_test: bool | None = None
    eyewash: bool | None = None
    eyewash_s: float | None = None
    extinguisher: bool | None = None
    first_aider: bool | None = None
    data_sheets: bool | None = None
    solvents: bool | None = None
    pickle: bool | None = None
    bell_jar: bool | None = None
    steam_dewax: bool | None = None
    lamp: bool | None = None
    outdoors: bool | None = None
    unknown_metal: bool | None = None
    asbestos: bool | None = None
    old_fibre: bool | None = None
    adults: int | None = None
    students_per_adult: int | None = None
    youngest_age: int | None = None
    mixes_from_age: int | None = None
    hot_work_from_age: int | None = None
    students: int | None = None


FACTS = {
    "melt_extraction": "fume fan at the melt",
    "kiln_extraction": "fan at the kiln",
    "kiln_vent_outside": "kiln vent to outside",
    "people_near_kiln": "people in the kiln room",
    "co_alarm": "gas alarm",
    "over_temperature_cutoff": "heat cut-off",
    "hours_unattended": "hours the kiln runs alone",
    "on_call": "a named person on call",
    "clear_of_kiln": "nothing that burns near the kiln",
    "top_heat_watched": "somebody there for the top heat",
    "melter": "how metal is melted",
    "fuel": "fuel",
    "oxygen": "oxygen",
    "leak_test": "leak test",
    "eyewash": "eyewash",
    "eyewash_s": "seconds to the eyewash",
    "extinguisher": "extinguisher",
    "first_aider": "first-aider",
    "data_sheets": "safety data sheets",
    "solvents": "solvents",
    "pickle": "pickle",
    "bell_jar": "bell jar",
    "steam_dewax": "steam or boiling",
    "lamp": "alcohol lamp",
    "outdoors": "casting outdoors",
    "unknown_metal": "plated or unknown metal",
    "asbestos": "old white pads",
    "old_fibre": "old kiln wool",
    "adults": "adults in the room",
    "students_per_adult": "the school's most students for one adult",
    "youngest_age": "age of the youngest",
    "mixes_from_age": "age for mixing powder",
    "hot_work_from_age": "age for hot work",
    "students": "students",
}
LEFT_ALONE = ("on_call", "co_alarm", "clear_of_kiln", "top_heat_watched")
"""What a kiln left alone asks for: all four recorded as true answer it, anything else warns."""

NEEDED_UNLESS: Mapping[str, tuple[str, Callable[[Any], bool]]] = {
    **dict.fromkeys(("fuel", "oxygen", "leak_test"), ("melter", lambda melter: melter != "torch")),
    **dict.fromkeys(("on_call", "clear_of_kiln", "top_heat_watched"), ("hours_unattended", lambda hours: hours == 0)),
    "eyewash_s": ("eyewash", lambda there: not there),
}
"""Facts that another fact, once it is recorded, may rule out."""


def settle(record: SafetyRecord) -> tuple[str, ...]:
    """Return what a school still has to record.

    Parameters
    ----------
    record : SafetyRecord
        Its facts.

    Returns
    -------
    tuple of str
        Names of the fields, in their order; a fact that another rules out is not asked.
    """
    missing = []
    for field in fields(record):
        if getattr(record, field.name) is not None:
            continue
        of, ruled_out = NEEDED_UNLESS.get(field.name, (None, None))
        if of is None or ruled_out is None or getattr(record, of) is None or not ruled_out(getattr(record, of)):
            missing.append(field.name)
    return tuple(missing)


def safety_cautions(record: SafetyRecord, day: DayInput, alloys: Collection[str] | None = None) -> tuple[Caution, ...]:
    """Return the cautions about a school's room, people and kit on a day.

    Parameters
    ----------
    record : SafetyRecord
        The school's facts; None counts as the worse case and is named in the words.
    day : DayInput
        The day: its metals, and the words of the rules.
    alloys : collection of str, optional
        Keys of the metals that are poured; without them every metal that is offered counts.

    Returns
    -------
    tuple of Caution
        STOP, then WARN, then SAY, by id within each.
    """
    return in_order(_Room(record, day).cautions(day, day.alloys if alloys is None else alloys))


class _Room:
    """The rules, each beside the facts it asks for."""

    def __init__(self, record: SafetyRecord, day: DayInput) -> None:
        self.facts, self.book = record, day.rulebook

    def cautions(self, day: DayInput, alloys: Collection[str]) -> Iterator[Caution]:
        for rule in (*ALWAYS, *AFTER):
            yield self.say(rule)
        yield from self.of_fumes(day, alloys)
        yield from self.of_kiln()
        yield from self.of_melter()
        yield from self.of_help()
        yield from self.of_people()
        yield from self.of_things()

    def say(self, rule: str, *facts: str, **figures: object) -> Caution:
        """The rule's caution; those of its facts that nobody recorded are named."""
        caution = raised(self.book, rule, **figures)
        unknown = [FACTS[name] for name in facts if getattr(self.facts, name) is None]
        if not unknown:
            return caution
        return replace(caution, text=f"{caution.text} Not recorded, ask: {', '.join(unknown)}.")

    def of_fumes(self, day: DayInput, alloys: Collection[str]) -> Iterator[Caution]:
        if self.facts.melt_extraction is True:
            return
        for alloy in (day.alloys[key] for key in sorted(alloys)):
            zinc = zinc_of(alloy)
            if zinc is not None and 0 < zinc <= self.book.limit("zinc_little_pct"):
                yield self.say("R-01c", "melt_extraction", alloy=alloy.name)

    def of_kiln(self) -> Iterator[Caution]:
        facts = self.facts
        near = facts.people_near_kiln is not False
        if facts.kiln_vent_outside is False:
            yield self.say("R-19a")
        elif facts.kiln_vent_outside is None or facts.kiln_extraction is not True:
            yield self.say("R-19c", "kiln_vent_outside", "kiln_extraction")
        elif near or facts.co_alarm is not True:
            yield self.say("R-19c", "people_near_kiln", "co_alarm")
        if near and facts.co_alarm is not True:
            yield self.say("R-19b", "people_near_kiln", "co_alarm")
        hours = facts.hours_unattended
        if hours == 0:
            return
        answered = hours is not None and all(getattr(facts, name) is True for name in LEFT_ALONE)
        yield self.say("R-20a-say") if answered else self.say("R-20a", "hours_unattended", *LEFT_ALONE)
        needed = ("over_temperature_cutoff", "co_alarm", "on_call")
        if not all(getattr(facts, name) is True for name in needed):
            yield self.say("R-20b", "hours_unattended", *needed)
        if hours is not None and hours > self.book.limit("kiln_alone_h"):
            yield self.say("N-23", hours=hours)

    def of_melter(self) -> Iterator[Caution]:
        facts = self.facts
        if facts.melter in (None, "torch"):
            yield self.say("R-16a", "melter")
            if facts.leak_test is not True:
                yield self.say("R-16b", "leak_test")
            if facts.fuel in (None, "acetylene"):
                yield self.say("R-17a", "fuel")
            if facts.fuel in (None, "lpg"):
                yield self.say("R-17b", "fuel")
            if facts.oxygen is not False:
                yield self.say("R-17c", "oxygen")
        if facts.melter in (None, "electric"):
            yield self.say("R-18a", "melter")
        if facts.melter in (None, "induction"):
            yield self.say("R-18b", "melter")

    def of_help(self) -> Iterator[Caution]:
        facts = self.facts
        walk_s = self.book.limit("eyewash_walk_s")
        near = facts.eyewash is True and facts.eyewash_s is not None and facts.eyewash_s <= walk_s
        wanted = {
            f"an eyewash within {walk_s:g} seconds": near,
            "an extinguisher": facts.extinguisher is True,
            "a first-aider": facts.first_aider is True,
        }
        lacking = [what for what, there in wanted.items() if not there]
        if lacking:
            asked = ["eyewash", "extinguisher", "first_aider"]
            if facts.eyewash is not False:
                asked.insert(1, "eyewash_s")
            yield self.say("R-35", *asked, help=", ".join(lacking))
        if facts.data_sheets is not True:
            yield self.say("R-39", "data_sheets")

    def of_people(self) -> Iterator[Caution]:
        facts = self.facts
        age, adult = facts.youngest_age, self.book.limit("adult_years")
        if age is None or age < adult:
            yield self.say("R-27a", "youngest_age")
        from_age = facts.hot_work_from_age
        if age is None or (age < self.book.limit("young_years") and (from_age is None or from_age < adult)):
            yield self.say("R-27b", "youngest_age", "hot_work_from_age")
        if age is None or age <= self.book.limit("child_years"):
            yield self.say("R-28", "youngest_age")
        mixes = None if age is None or facts.mixes_from_age is None else max(age, facts.mixes_from_age)
        if mixes is None or mixes < adult:
            yield self.say("R-14a", "youngest_age", "mixes_from_age")
        yield from self.of_numbers()

    def of_numbers(self) -> Iterator[Caution]:
        students, adults, most = self.facts.students, self.facts.adults, self.facts.students_per_adult
        figures = {
            "students": "unknown" if students is None else students,
            "adults": "unknown" if adults is None else adults,
        }
        if students is None or adults is None:
            yield self.say("N-22-warn", "students", "adults", **figures)
            return
        if most is not None and students > most * adults:
            yield self.say("R-34b", limit=most, **figures)
        if students > self.book.limit("most_students_per_adult") * adults:
            yield self.say("N-22-stop", **figures)
        elif students > self.book.limit("advised_students_per_adult") * adults:
            yield self.say("N-22-warn", **figures)

    def of_things(self) -> Iterator[Caution]:
        """What is said wherever a thing is used, or nobody recorded that it is not."""
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
                yield self.say(rule, fact)
