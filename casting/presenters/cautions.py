"""Every caution of a day or its plan as people read it: the school's own among them, and who cleared which."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from django.utils.translation import get_language
from django.utils.translation import gettext as _

from casting.calc.cautions.kiln_night import KilnNight, kiln_night
from casting.calc.cautions.materials import cautions_offered, in_order, stops_of
from casting.calc.cautions.people import kilns_alone, with_on_call
from casting.calc.cautions.school_record import FACTS, LEFT_ALONE, unrecorded_facts
from casting.calc.cautions.school_rules import safety_cautions, without_fan_stop
from casting.calc.values.day_input import DayInput
from casting.calc.values.day_plan import Caution, FiringPlan
from casting.calc.values.enums import Asked, Level
from casting.calc.values.sentence import from_json, plain
from casting.dayfile import Day, day_of
from casting.dayfile.rules_file import rulebook
from casting.dayfile.source_words import source_sentence
from casting.models import CastingDay, CautionCleared, Plan, SafetyRecord
from casting.models.safety import PLACE_NAMES
from casting.presenters.formats import SchoolUnits, units_of
from casting.presenters.people import firings_of, on_call_of
from casting.presenters.vacuum import gauge_line
from casting.presenters.wording import in_units, reworded
from casting.selectors.day_file import DONE, day_values_of
from school.models import School, Student

Words = tuple[str, str]
"""A caution's id and its words."""
HOLDS = (Asked.SET_UP, Asked.PLAN)
"""A STOP asked at these times holds the plan back; any other STOP is a gate on the day."""


@dataclass(frozen=True, slots=True)
class ShownCaution:
    """A caution as people read it: text and basis in the school's units, `as_raised` in the plan's.

    `signs` are ISO 7010 codes, each with its meaning in words; `check` is what is ticked on the day, empty if nothing.
    A STOP `stays_out` if the plan leaves out every wax that it is about. `metals` are those that it names, once several
    are said together (`told_once`); `taken_back` is its last clearance, if somebody took that back.
    """

    id: str
    level: Level
    when: Asked
    text: str
    basis: str
    as_raised: str
    signs: tuple[tuple[str, str], ...]
    clearable: bool
    check: str = ""
    cleared_by: str | None = None
    reason: str = ""
    stays_out: bool = False
    cleared_at: datetime | None = field(default=None, compare=False)
    taken_back: CautionCleared | None = field(default=None, compare=False)
    metals: tuple[str, ...] = field(default=(), compare=False)
    units: SchoolUnits = field(default=SchoolUnits(), compare=False)

    @property
    def foreign(self) -> bool:
        """Whether its words are English where the reader's language is another."""
        return get_language() != "en" and self.text == in_units(str(self.as_raised), self.units)

    @property
    def asked_before(self) -> bool:
        """Whether it is asked before the day and wants an answer: a STOP or a WARN."""
        return self.level is not Level.SAY and self.when in HOLDS

    @property
    def holds_back(self) -> bool:
        """Whether it keeps the plan from being used now."""
        return self.level is Level.STOP and self.asked_before and self.cleared_by is None and not self.stays_out


def safety_record_of(school: School) -> SafetyRecord:
    """Return what the school has recorded; an unsaved record of nothing before the first time. One query."""
    record = SafetyRecord.objects.filter(school=school).first() or SafetyRecord()
    record.school = school
    return record


def _clearances(day: CastingDay) -> tuple[dict[Words, CautionCleared], dict[Words, CautionCleared]]:
    """The clearances of a day that hold, and those last taken back, by the caution's id and words. One query."""
    hold: dict[Words, CautionCleared] = {}
    back: dict[Words, CautionCleared] = {}
    for row in CautionCleared.objects.filter(day=day).order_by("pk"):
        (hold if row.taken_back_at is None else back)[row.caution, row.text] = row
    return hold, back


def to_settle(record: SafetyRecord, cautions: Iterable[ShownCaution] = ()) -> list[str]:
    """Return the questions that a school has left open, and the places nobody has named."""
    return list(left_open(record, cautions).values())


def left_open(record: SafetyRecord, cautions: Iterable[ShownCaution] = ()) -> dict[str, str]:
    """Return what a school has left open, each question by the name of its answer.

    A plan that leaves the kiln alone asks for all that such a kiln needs, whatever hours were recorded.
    """
    facts = record.facts(students=0)
    alone = LEFT_ALONE if any(one.id == "R-20a" for one in cautions) else ()
    missing = {*unrecorded_facts(facts), *(name for name in alone if getattr(facts, name) is None)}
    names = [*(name for name in FACTS if name in missing), *(name for name in PLACE_NAMES if not getattr(record, name))]
    questions = {field.name: str(field.verbose_name) for field in SafetyRecord._meta.fields}
    questions["elevation_m"] = _("Height above the sea: on the page School")
    return {name: questions[name] for name in names}


def cautions_of(plan: Plan, day: Day) -> tuple[ShownCaution, ...]:
    """Return the cautions of a stored plan of this day and of its school, most severe first. Three queries."""
    alloys = {flask["alloy"] for flask in plan.file["flasks"]}
    of_plan = [_read_caution(one) for one in plan.file["cautions"]]
    firings = firings_of(plan.file, day)
    shown = _shown(plan.day, of_plan, _in_use(day.day, firings), alloys, firings)
    out = _staying_out(plan.file["left_out"], day.day)
    return tuple(replace(one, stays_out=(one.id, one.as_raised) in out) for one in shown)


def _in_use(day: DayInput, firings: Iterable[FiringPlan]) -> DayInput:
    """A day with those kilns and firings alone that a plan uses."""
    kilns, fired = {one.kiln for one in firings}, {one.firing for one in firings}
    return replace(
        day,
        kilns=tuple(kiln for kiln in day.kilns if kiln.key in kilns),
        firings=tuple(firing for firing in day.firings if firing.key in fired),
    )


def _staying_out(left_out: Iterable[Mapping[str, Any]], day: DayInput) -> set[tuple[str, str]]:
    """The STOPs, by id and words, all of whose waxes a plan leaves out.

    One that no wax of the day raises in the same words today is not among them: nobody knows what it is about.
    """
    about: dict[tuple[str, str], set[str]] = {}
    for wax in day.waxes:
        for stop in stops_of(wax, day):
            about.setdefault((stop.id, stop.text), set()).add(wax.key)
    out = {row["key"] for row in left_out}
    return {stop for stop, waxes in about.items() if waxes <= out}


def _night_of(firings: Sequence[FiringPlan], day: DayInput) -> KilnNight | None:
    """How long the kilns of a plan are alone; None if it fires none."""
    on = [(firing.on_at, max(segment.ends_at for segment in firing.segments)) for firing in firings]
    tops = {firing.kiln: max(segment.to_c for segment in firing.segments) for firing in firings}
    top_heat = [
        (segment.reached_at, segment.ends_at)
        for firing in firings
        for segment in firing.segments
        if segment.to_c == tops[firing.kiln]
    ]
    return kiln_night(on, top_heat, day.hours) if on else None


def cautions_of_day(day: CastingDay, offer: DayInput | None = None) -> tuple[ShownCaution, ...]:
    """Return the cautions of all that a day offers before there is a plan, most severe first.

    Three queries, and those for the offer if it is not given. Raises `NotPlanned` without an investment.
    """
    offer = offer or offer_of(day_values_of(day))
    return _shown(day, cautions_offered(offer), offer, set(offer.alloys))


def offer_of(values: Mapping[str, Any]) -> DayInput:
    """Return what the values of a day file offer, without its waxes: a badly weighed wax costs nobody the handout."""
    shelf = {name: value for name, value in values.items() if name not in DONE}
    return day_of({**shelf, "waxes": [], "held": {}}).day


def _read_caution(row: Mapping[str, Any]) -> Caution:
    text = from_json(row["text"], row.get("said", {}).get("text"))
    return Caution(row["id"], Level(row["level"]), Asked(row["when"]), text, row["basis"])


def _shown(
    day: CastingDay, of_day: Iterable[Caution], values: DayInput, alloys: set[str], firings: Sequence[FiringPlan] = ()
) -> tuple[ShownCaution, ...]:
    """These cautions and the school's own; the check at the vacuum gauge names its number."""
    record = safety_record_of(day.course.school)
    facts = record.facts(Student.objects.here().filter(course_id=day.course_id).count())
    if day.on_call:
        facts = replace(facts, on_call=True)
    gauge = gauge_line(facts)
    of_day = with_on_call(of_day, kilns_alone(firings, values), on_call_of(day, record), values)
    night = _night_of(firings, values)
    found = [*without_fan_stop(of_day, facts), *safety_cautions(facts, values, alloys, night)]
    cleared, taken_back = _clearances(day)
    rules, units = rulebook().rules, units_of(day.course.school)
    shown = []
    for caution in in_order(found):
        rule, row = rules.get(caution.id), cleared.get((caution.id, caution.text))
        # A rule that this program no longer knows cannot be cleared: the plan has to be made again.
        clearable = rule is not None and rule.clearable
        shown.append(
            ShownCaution(
                id=caution.id,
                level=caution.level,
                when=caution.when,
                text=in_units(caution.text, units),
                basis=in_units(source_sentence(caution.basis), units),
                as_raised=caution.text,
                signs=rule.signs if rule else (),
                clearable=clearable,
                check=reworded(plain(rule.check)).replace("____", gauge.number) if rule else "",
                cleared_by=row.by if row and clearable else None,
                reason=row.reason if row and clearable else "",
                cleared_at=row.at if row and clearable else None,
                taken_back=None if row else taken_back.get((caution.id, caution.text)),
                units=units,
            )
        )
    return tuple(shown)
