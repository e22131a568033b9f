"""The safety handout: two sides for each student, in the language it is asked in.

It is given out before there is a flask, so it is made of what the day offers and of the school's
record. No plan changes it: what a plan adds or leaves out stands on its supplement.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from textwrap import wrap

from django.template.loader import render_to_string
from django.utils.translation import gettext, ngettext, override, pgettext, pgettext_lazy
from django.utils.translation import gettext as _

from casting.calc.values.day_input import DayInput, Pattern
from casting.calc.values.enums import Level, Powder, Status
from casting.calc.values.marked_text import FROM_MEMORY, in_a_sentence
from casting.dayfile.rules_file import rulebook
from casting.models import CastingDay, SafetyRecord
from casting.models.safety import PLACE_NAMES
from casting.papers.print_job import PrintJob
from casting.papers.sheets import handout_words as words
from casting.papers.sheets.handout_room import ROOM_PT, FirstSide, halves
from casting.papers.sheets.handout_words import Line
from casting.presenters.cautions import ShownCaution, cautions_of_day, offer_of, safety_record_of
from casting.presenters.formats import SchoolUnits, degrees, degrees_at_least, units_of
from casting.presenters.from_memory import top_mark
from casting.presenters.vacuum import gauge_line
from casting.selectors.day_file import day_values_of
from school.models import School

NOT_RECORDED = pgettext_lazy("handout", "not recorded, ask")
STOPS_ON_SHEET = 18
"""The most lines that the box holds; the rest are counted, and printed on the teacher's sheet."""
CLEARED_ON_SHEET = 7
"""The most cleared STOPs that stand under the box; the rest are counted, and are on the teacher's sheet."""
SIGNS_A_ROW = 56
"""About how many letters of a step fit into a row of half the sheet."""
STOP_SIGNS_A_ROW = 33
"""About how many letters of a STOP, which is set larger, fit into a row of half the box."""


@dataclass(frozen=True, slots=True)
class HandoutLine:
    """A line of the sheet; `foreign` if it is not translated into the sheet's language."""

    text: str
    sign: str | None = None
    foreign: bool = False


@dataclass(frozen=True, slots=True)
class Metal:
    """A metal by its name and its parts in per cent, None where not recorded."""

    name: str
    parts: Mapping[str, float | None]


@dataclass(frozen=True, slots=True)
class Offered:
    """What a day offers, with its cautions and what the school recorded."""

    day: CastingDay
    values: DayInput
    cautions: tuple[ShownCaution, ...]
    record: SafetyRecord

    @property
    def school(self) -> School:
        """The school of the day."""
        return self.day.course.school

    @property
    def units(self) -> SchoolUnits:
        """The units that the school reads."""
        return units_of(self.school)

    @property
    def metals(self) -> list[Metal]:
        """The metals that are offered, and those of waxes handed in, by name."""
        found = [Metal(alloy.name, alloy.composition_pct) for alloy in self.values.alloys.values()]
        return sorted(found, key=lambda metal: metal.name)


def offered_of(day: CastingDay) -> Offered:
    """Return what a day offers; raise `NotPlanned` if nothing can be made of it."""
    offer = offer_of(day_values_of(day))
    return Offered(day, offer, cautions_of_day(day, offer), safety_record_of(day.course.school))


def handout_html(job: PrintJob) -> str:
    """Return the handout in English."""
    return _in("en", job)


def handout_es_html(job: PrintJob) -> str:
    """Return the handout in Spanish."""
    return _in("es", job)


def _in(language: str, job: PrintJob) -> str:
    with override(language):
        context = _context(offered_of(job.day)) | {"edition": job.edition}
        return render_to_string("papers/handout.html", context)


def _context(offered: Offered) -> dict[str, object]:
    cautions = offered.cautions
    figures = figures_of(offered.units, offered.metals, cautions)
    figures["vacuum"] = gauge_line(offered.record.facts()).number
    raised = {caution.id for caution in cautions}
    cleared = cleared_stops(cautions)
    stops = halves(stops_of(cautions, figures), rows_of_stop)
    metal, *rest = today_of(offered)
    today, wear, places = halves(rest, lambda row: 1), halves(words.WEAR, lambda row: 1), places_of(offered.record)
    side = FirstSide(
        stops=([line.text for line in stops[0]], [line.text for line in stops[1]]),
        today=(" ".join(metal), _texts(today)),
        terms=str(words.TERMS),
        wear=_texts(wear),
        places=places,
        cleared=[f"{one.text} {one.cleared_by}: {one.reason}" for one in cleared[:CLEARED_ON_SHEET]],
    )
    steps = [(title, [_said(line, figures) for line in lines if wanted(line, raised)]) for title, lines in words.STEPS]
    return {
        "pour_at": offered.day.pour_local(),
        "units": offered.units,
        "school": offered.school,
        "stops": stops,
        "cleared": cleared[:CLEARED_ON_SHEET],
        "more_cleared": len(cleared[CLEARED_ON_SHEET:]),
        "metal": metal,
        "today": today,
        "wear": wear,
        "terms": words.TERMS,
        "steps": halves(list(enumerate(steps, start=1)), rows_of_step),
        "wrong": words.WRONG,
        "places": places,
        "place_halves": (places[:3], places[3:]),
        "disclaimer": words.DISCLAIMER,
    } | setting_of(side, ROOM_PT[offered.school.paper])


def setting_of(side: FirstSide, room_pt: float) -> dict[str, bool]:
    """Return how the first side is set in its room: closer if it is crowded, and what moves to a third side.

    The cleared STOPs move first, whole; then what is used on the day.
    """
    if side.height_pt() <= room_pt:
        return {"crowded": False, "cleared_apart": False, "today_apart": False}
    alone = replace(side, cleared=["in their place one row that says where they are"])
    if side.cleared and alone.height_pt() <= room_pt:
        return {"crowded": False, "cleared_apart": True, "today_apart": False}
    return {
        "crowded": True,
        "cleared_apart": bool(side.cleared),
        "today_apart": (alone if side.cleared else side).height_pt(crowded=True) > room_pt,
    }


def _texts(columns: Sequence[Sequence[tuple[object, object]]]) -> tuple[list[str], list[str]]:
    """Return two columns of pairs as their texts; a sign takes no room of its own."""
    left, right = ([str(text) for _name, text in column] for column in columns)
    return left, right


def rows_of_stop(line: HandoutLine) -> float:
    """Return about how many rows of its column a line of the box takes, with the gap over it; a sign is two high."""
    rows = len(wrap(line.text, STOP_SIGNS_A_ROW))
    return max(rows, 1.6 if line.sign else 1) + 0.15


def rows_of_step(step: tuple[int, tuple[object, Sequence[HandoutLine]]]) -> int:
    """Return about how many rows of its column a step takes, its heading among them."""
    _number, (_title, lines) = step
    return 1 + sum(1 + len(line.text) // SIGNS_A_ROW for line in lines)


def figures_of(units: SchoolUnits, metals: Iterable[Metal], cautions: Iterable[ShownCaution]) -> dict[str, str]:
    """Return the values inserted into the lines: metals, and temperatures on the school's scale."""
    found, said = list(metals), list(cautions)

    def named(*rules: str) -> str:
        texts = [caution.as_raised for caution in said if caution.id in rules]
        melted = [metal.name for metal in found if any(in_a_sentence(metal.name) in text for text in texts)]
        return ", ".join(in_a_sentence(in_words(name)) for name in melted)

    child = rulebook().limits["child_years"]
    return {
        "fan_metals": named("R-01b") or _("a metal with zinc"),
        "fume_metals": named("R-02", "fan-running") or _("copper, brass and bronze"),
        "nickel_metals": named("R-03") or _("a metal with nickel"),
        "gas_out": format(rulebook().limit("gas_out_ppm"), "g"),
        "door": degrees_at_least(rulebook().limit("door_shut_to_c"), units),
        "reheat": degrees_at_least(rulebook().limit("reheat_from_c"), units),
        "child": format(child.value, "g") + (FROM_MEMORY if child.status == Status.MEMORY else ""),
    }


def in_words(name: str) -> str:
    """Return a name of the shelf in the sheet's language, if it is translated."""
    return gettext(name) if name else ""


def _said(line: Line, figures: Mapping[str, str]) -> HandoutLine:
    return HandoutLine(str(line.text) % figures, line.sign)


def wanted(line: Line, raised: Collection[str]) -> bool:
    """Tell whether a line stands on the sheet of a day that raised these rules."""
    return line.unless.isdisjoint(raised) and (not line.when or not line.when.isdisjoint(raised))


def stops_of(cautions: Sequence[ShownCaution], figures: Mapping[str, str]) -> list[HandoutLine]:
    """Return the lines of the box: the sheet's own, then every other STOP in the words of its rule."""
    own, rest, over = in_the_box(cautions)
    said = [*(_said(line, figures) for line in own), *map(said_of, rest)]
    if not over:
        return said
    more = ngettext(
        "Ask for %(over)d more STOP: it stands on the teacher's sheet.",
        "Ask for %(over)d more STOPs: they stand on the teacher's sheet.",
        over,
    )
    return [*said, HandoutLine(more % {"over": over})]


def in_the_box(cautions: Iterable[ShownCaution]) -> tuple[list[Line], list[ShownCaution], int]:
    """Return the box's own lines, the STOPs in the words of their rules, and how many of these find no room."""
    standing = [caution for caution in cautions if caution.level is Level.STOP and not caution.cleared_by]
    own, spoken = spoken_for(standing)
    rest = [caution for caution in standing if caution.id not in spoken]
    if len(own) + len(rest) <= STOPS_ON_SHEET:
        return own, rest, 0
    room = STOPS_ON_SHEET - 1 - len(own)
    return own, rest[:room], len(rest) - room


def cleared_stops(cautions: Iterable[ShownCaution]) -> list[ShownCaution]:
    """Return the STOPs that a teacher has cleared."""
    return [one for one in cautions if one.cleared_by and one.level is Level.STOP]


def is_on_handout(caution: ShownCaution, given_out: Sequence[ShownCaution]) -> bool:
    """Tell whether a handout made of these cautions says another one: in a line for its rule, or in its own words."""
    own, rest, _over = in_the_box(given_out)
    raised = {one.id for one in given_out}
    lines = [*own, *(line for _title, lines in words.STEPS for line in lines if wanted(line, raised))]
    if not caution.cleared_by and any(caution.id in line.speaks_for for line in lines):
        return True
    whole = [*rest, *cleared_stops(given_out)[:CLEARED_ON_SHEET]]
    return (caution.id, caution.text, caution.cleared_by) in [(one.id, one.text, one.cleared_by) for one in whole]


def spoken_for(standing: Iterable[ShownCaution]) -> tuple[list[Line], frozenset[str]]:
    """Return the box's own lines for STOPs that stand, and the rules that they speak for."""
    raised = {caution.id for caution in standing}
    own = [line for line in words.STOPS if wanted(line, raised)]
    return own, frozenset().union(*(line.speaks_for for line in own))


def said_of(caution: ShownCaution) -> HandoutLine:
    """Return a caution as a line in the words of its rule; marked where these are in no other language than English."""
    return HandoutLine(caution.text, caution.signs[0][0] if caution.signs else None, caution.foreign)


def today_of(offered: Offered) -> list[tuple[str, str]]:
    """Return what is used on the day; what nobody recorded says so."""
    day, record, metals = offered.values, offered.record, offered.metals
    # Any firing of the shelf may be the one.
    tops = [segment.to_c for firing in day.firings for segment in firing.segments]
    return [
        (pgettext("handout", "Metal"), "; ".join(metal_words(metal) for metal in metals) or str(NOT_RECORDED)),
        (_("Powder"), powder_words(day.investment.kind)),
        (
            _("Burned out"),
            ", ".join(material_words(day.patterns[key]) for key in sorted(day.patterns)) or str(NOT_RECORDED),
        ),
        (
            _("Kiln"),
            _("up to %(top)s") % {"top": degrees(max(tops), offered.units) + top_mark(day.firings, max(tops))}
            if tops
            else str(NOT_RECORDED),
        ),
        (_("Melted with"), melter_words(record)),
        (_("Solvent"), yes_or_no(record.solvents)),
        (_("Pickle"), yes_or_no(record.pickle)),
    ]


def melter_words(record: SafetyRecord) -> str:
    """Return what melts the metal, a torch with its fuel."""
    if record.melter == "torch":
        return f"{record.get_melter_display()}, {record.get_fuel_display() or _('fuel not recorded, ask')}"
    return record.get_melter_display() or str(NOT_RECORDED)


def material_words(pattern: Pattern) -> str:
    """Return a pattern material as the school calls it; one of the shelf in the sheet's language."""
    plain = pattern.key.replace("-", " ")
    return in_words(plain if pattern.called.lower() in (plain, pattern.key) else pattern.called)


def powder_words(kind: Powder) -> str:
    """Return a powder by its kind, with what is in its dust."""
    words = {
        Powder.GYPSUM: _("plaster (gypsum) with silica in its dust"),
        Powder.PHOSPHATE: _("phosphate powder with silica in its dust"),
        Powder.UNKNOWN: _("kind not recorded, ask; count on silica in its dust"),
    }
    return words[kind]


def metal_words(metal: Metal) -> str:
    """Return a metal with the parts that a student should know of."""
    parts = metal.parts
    told = []
    if not parts or None in parts.values():
        told.append(str(_("parts not recorded, ask")))
    if parts.get("Zn"):
        told.append(_("zinc in it"))
    if parts.get("Ni"):
        told.append(_("nickel in it"))
    name = in_words(metal.name)
    return f"{name} ({', '.join(told)})" if told else name


def yes_or_no(fact: bool | None) -> str:
    """Return a fact of the school in a word or two; unknown is never no."""
    if fact is None:
        return str(NOT_RECORDED)
    return pgettext("handout", "yes") if fact else pgettext("handout", "no")


def places_of(record: SafetyRecord) -> list[tuple[str, str]]:
    """Return where things are in the school's own words."""
    fields = {field.name: str(field.verbose_name) for field in SafetyRecord._meta.fields}
    return [(fields[name], getattr(record, name) or str(NOT_RECORDED)) for name in PLACE_NAMES]
