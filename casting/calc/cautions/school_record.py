"""What a school records of its room, people and kit: every fact, with its question, under its heading."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, fields
from typing import Any

from casting.calc.values.sentence import plain


def _(words: str) -> str:
    """Mark words for the catalogue; the site translates them where it shows them."""
    return words


AIR, MELTING, HELP = _("Air, kiln and alarm"), _("Melting"), _("Help")
USED, PEOPLE = _("What is used"), _("People")
VACUUM = _("Vacuum table")

MELTERS = (("torch", _("torch")), ("electric", _("electric furnace")), ("induction", _("induction")))
FUELS = (
    ("acetylene", _("acetylene")),
    ("lpg", _("propane or butane")),
    ("natural_gas", _("natural gas")),
    ("hydrogen", _("hydrogen")),
)
GAUGE_UNITS = (
    ("inHg", _("inches of mercury (inHg)")),
    ("mbar", _("millibars (mbar or hPa)")),
    ("kPa", _("kilopascals (kPa)")),
    ("bar", _("bars (bar)")),
    ("mmHg", _("millimetres of mercury (mmHg or torr)")),
)
GAUGE_KINDS = (
    ("relative", _("0: it shows how far the vacuum is below the room's air")),
    ("absolute", _("the air's own pressure, near 1000 mbar, 100 kPa or 29 inHg")),
)


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact: its name in a caution, and the question that asks for it under a heading.

    The heading and the question are empty for a fact that the record does not hold.
    """

    name: str
    short: str
    heading: str = ""
    question: str = ""
    choices: tuple[tuple[str, str], ...] = ()


def fact(short: str, heading: str = "", question: str = "", choices: tuple[tuple[str, str], ...] = ()) -> Any:
    """Return the field of a fact that is not recorded until the school answers.

    Parameters
    ----------
    short : str
        Its name in a caution.
    heading, question : str
        What the school is asked, and under which heading; empty if it is not asked.
    choices : tuple of tuple of str, optional
        Each answer with its words, where only some answers count.

    Returns
    -------
    Any
        A dataclass field of default None.
    """
    told = {"short": plain(short), "heading": heading, "question": question, "choices": choices}
    return field(default=None, metadata=told)


@dataclass(frozen=True, slots=True)
class SafetyRecord:
    """A school's facts; None is "not recorded". Ages are years, from which students may do it themselves.

    `students` comes from the class of the day, `elevation_m` from the school. `adults` are those in the room while
    metal is hot; `pump_best` is read on the school's own gauge.
    This is the one list of facts: questions, columns and form follow from it.
    """

    melt_extraction: bool | None = fact("fume fan at the melt", AIR, _("Is there a fume fan where metal is melted?"))
    kiln_extraction: bool | None = fact("fan at the kiln", AIR, _("Is there a fan at the kiln?"))
    kiln_vent_outside: bool | None = fact("kiln vent to outside", AIR, _("Does the kiln's air go outside?"))
    people_near_kiln: bool | None = fact(
        "people in the kiln room", AIR, _("Are people in the kiln's room while it fires?")
    )
    co_alarm: bool | None = fact("gas alarm", AIR, _("Is there a working carbon monoxide alarm at the kiln?"))
    over_temperature_cutoff: bool | None = fact(
        "heat cut-off", AIR, _("Does the kiln switch itself off when it gets too hot?")
    )
    hours_unattended: float | None = fact(
        "hours the kiln runs alone", AIR, _("Hours the kiln runs with nobody there (0 if never)")
    )
    on_call: bool | None = fact(
        "a named person on call", AIR, _("While the kiln is alone: is a named person on call who can be there soon?")
    )
    clear_of_kiln: bool | None = fact(
        "nothing that burns near the kiln",
        AIR,
        _("While the kiln is alone: is everything that burns kept well away from it?"),
    )
    top_heat_watched: bool | None = fact(
        "somebody there for the top heat", AIR, _("Is somebody there while the kiln is at its top temperature?")
    )
    melter: str | None = fact("how metal is melted", MELTING, _("What melts the metal?"), MELTERS)
    fuel: str | None = fact("fuel", MELTING, _("What gas does the torch burn?"), FUELS)
    oxygen: bool | None = fact("oxygen", MELTING, _("Does the torch use oxygen?"))
    leak_test: bool | None = fact("leak test", MELTING, _("Is the torch leak-tested before every class?"))
    gauge_unit: str | None = fact(
        "unit of the gauge", VACUUM, _("In what unit does the vacuum gauge read?"), GAUGE_UNITS
    )
    gauge_kind: str | None = fact(
        "kind of gauge", VACUUM, _("What does the vacuum gauge show while the pump is off?"), GAUGE_KINDS
    )
    pump_best: float | None = fact(
        "the pump's best reading",
        VACUUM,
        _("Deepest reading of that gauge, table closed, without a minus sign"),
    )
    eyewash: bool | None = fact("eyewash", HELP, _("Is there an eyewash?"))
    eyewash_s: float | None = fact(
        "seconds to the eyewash", HELP, _("Seconds on foot from powder and pickle to the eyewash")
    )
    extinguisher: bool | None = fact("extinguisher", HELP, _("Is there a serviced extinguisher?"))
    first_aider: bool | None = fact("first-aider", HELP, _("Is a first-aider there who does not pour?"))
    data_sheets: bool | None = fact(
        "safety data sheets", HELP, _("Is the safety data sheet of every powder, metal and liquid at hand?")
    )
    solvents: bool | None = fact("solvents", USED, _("Are solvents or lighter fluid used or kept here?"))
    pickle: bool | None = fact("pickle", USED, _("Is pickle used?"))
    bell_jar: bool | None = fact("bell jar", USED, _("Is a bell jar used?"))
    steam_dewax: bool | None = fact("steam or boiling", USED, _("Is wax steamed or boiled out?"))
    lamp: bool | None = fact("alcohol lamp", USED, _("Is an alcohol lamp used?"))
    outdoors: bool | None = fact("casting outdoors", USED, _("Is metal poured outdoors?"))
    unknown_metal: bool | None = fact("plated or unknown metal", USED, _("Is plated, costume or unknown metal melted?"))
    asbestos: bool | None = fact("old white pads", USED, _("Are there old white heat pads that may be asbestos?"))
    old_fibre: bool | None = fact("old kiln wool", USED, _("Is there old kiln wool or a fibre liner?"))
    adults: int | None = fact("adults in the room", PEOPLE, _("Adults in the room while metal is hot"))
    students_per_adult: int | None = fact(
        "most students per adult", PEOPLE, _("Most students per adult at this school")
    )
    youngest_age: int | None = fact("age of the youngest", PEOPLE, _("Age of the youngest student"))
    mixes_from_age: int | None = fact("age for mixing powder", PEOPLE, _("From what age may a student mix powder?"))
    hot_work_from_age: int | None = fact(
        "age for hot work", PEOPLE, _("From what age may a student melt, pour and quench?")
    )
    students: int | None = fact("students")
    elevation_m: float | None = fact("height above the sea")


FACTS: Mapping[str, Fact] = {each.name: Fact(each.name, **each.metadata) for each in fields(SafetyRecord)}

LEFT_ALONE = ("on_call", "co_alarm", "clear_of_kiln", "top_heat_watched")
"""What a kiln left alone asks for: all four recorded as true answer it, anything else warns."""

NEEDED_UNLESS: Mapping[str, tuple[str, Callable[[Any], bool]]] = {
    **dict.fromkeys(("fuel", "oxygen", "leak_test"), ("melter", lambda melter: melter != "torch")),
    **dict.fromkeys(("on_call", "clear_of_kiln", "top_heat_watched"), ("hours_unattended", lambda hours: hours == 0)),
    "eyewash_s": ("eyewash", lambda there: not there),
    "elevation_m": ("gauge_kind", lambda kind: kind == "absolute"),
}
"""Facts that another fact, once it is recorded, may rule out."""


def under_headings(facts: Iterable[Fact]) -> dict[str, tuple[str, ...]]:
    """Return the facts that the school is asked for, under their headings.

    Parameters
    ----------
    facts : iterable of Fact
        In any order.

    Returns
    -------
    dict of str to tuple of str
        Names of the facts by heading; headings and names as they come.
    """
    found: dict[str, tuple[str, ...]] = {}
    for each in facts:
        if each.heading:
            found[each.heading] = (*found.get(each.heading, ()), each.name)
    return found


def unrecorded_facts(record: SafetyRecord) -> tuple[str, ...]:
    """Return what a school still has to record.

    Parameters
    ----------
    record : SafetyRecord
        Its facts.

    Returns
    -------
    tuple of str
        Names of the facts, in their order; a fact that another rules out is not asked.
    """
    return tuple(name for name in FACTS if getattr(record, name) is None and not _ruled_out(name, record))


def _ruled_out(name: str, record: SafetyRecord) -> bool:
    """True if another fact, which is recorded, makes this one needless."""
    if name not in NEEDED_UNLESS:
        return False
    other, rules_it_out = NEEDED_UNLESS[name]
    answer = getattr(record, other)
    return answer is not None and rules_it_out(answer)
