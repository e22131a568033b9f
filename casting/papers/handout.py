"""The safety handout: two sides for each student, made for this day, in the language it is asked in."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import TypeVar

from django.template.loader import render_to_string
from django.utils.translation import get_language, gettext, gettext_lazy, ngettext, override
from django.utils.translation import gettext as _

from casting.calc.words import Level
from casting.drawings.signs import MEANING
from casting.holding import ShownCaution, cautions_of, cautions_of_day, safety_record_of
from casting.models import Plan, SafetyRecord
from casting.models.safety import PLACE_NAMES
from casting.opened import OpenedPlan, open_plan, outdated
from casting.papers import handout_words as words
from casting.papers.handout_words import Line
from casting.reading import FlaskSheet
from casting.shown import degrees

T = TypeVar("T")

NOT_RECORDED = gettext_lazy("not recorded, ask")
STOPS_ON_SHEET = 18
"""So many lines find room in the box; what is over is counted, and stands on the teacher's sheet."""
ROOM = 20
"""So many lines of the box and flasks of the day together find room on two sides; more flasks: the day plan."""


@dataclass(frozen=True, slots=True)
class Said:
    """A line of the sheet in its words; `foreign` if nobody has put it into the sheet's language."""

    text: str
    sign: str | None = None
    foreign: bool = False


@dataclass(frozen=True, slots=True)
class Metal:
    """A metal by its name and its parts in per cent, None where not recorded."""

    name: str
    parts: Mapping[str, float | None]


def handout_html(plan: Plan) -> str:
    """Return the handout in English."""
    return _in("en", plan)


def handout_es_html(plan: Plan) -> str:
    """Return the handout in Spanish."""
    return _in("es", plan)


def _in(language: str, plan: Plan) -> str:
    with override(language):
        return render_to_string("papers/handout.html", _context(plan))


def _context(plan: Plan) -> dict[str, object]:
    opened = open_plan(plan)
    sheet = opened.sheet
    # Before there is a flask, the sheet is made from what the day offers.
    cautions = cautions_of(plan) if sheet.flasks else cautions_of_day(plan.day)
    metals = metals_of(opened)
    record = safety_record_of(opened.school)
    figures = figures_of(opened, metals, cautions)
    raised = {caution.id for caution in cautions}
    stops = stops_of(cautions, figures)
    steps = [(title, [_said(line, figures) for line in lines if wanted(line, raised)]) for title, lines in words.STEPS]
    return {
        "opened": opened,
        "outdated": outdated(plan),
        "sheet": sheet,
        "units": opened.units,
        "school": opened.school,
        "stops": halves(stops, lambda line: len(line.text)),
        "cleared": [caution for caution in cautions if caution.cleared_by],
        "today": today_of(opened, metals, record),
        "wear": words.WEAR,
        "terms": words.TERMS,
        "steps": halves(list(enumerate(steps, start=1)), lambda step: 60 + sum(len(line.text) for line in step[1][1])),
        "wrong": words.WRONG,
        "signs": [(code, meaning) for code, meaning in MEANING.items()],
        "places": places_of(record),
        "flasks": flasks_of(sheet.flasks, ROOM - len(stops)),
        "disclaimer": words.DISCLAIMER,
    }


def flasks_of(flasks: Sequence[FlaskSheet], room: int) -> list[tuple[FlaskSheet, str]]:
    """Return the flasks with their metal in words; none if they are too many for the room that is left."""
    return [(one, in_words(one.alloy.name)) for one in flasks] if len(flasks) <= room else []


def halves(items: Sequence[T], length: Callable[[T], int]) -> tuple[Sequence[T], Sequence[T]]:
    """Return the items as two columns of about the same length, in their order."""
    whole = sum(length(item) for item in items)
    before = accumulate(length(item) for item in items)
    cut = sum(2 * so_far < whole for so_far in before) + 1
    return items[:cut], items[cut:]


def metals_of(opened: OpenedPlan) -> list[Metal]:
    """Return the metals of the plan's flasks; without a flask, those that the day offers."""
    used = {flask.alloy.key: flask.alloy for flask in opened.sheet.flasks}.values()
    if used:
        return sorted((Metal(one.name, one.composition_pct) for one in used), key=lambda metal: metal.name)
    offered = opened.plan.day.alloys.order_by("name", "pk")
    return [Metal(one.name, one.to_day()["composition_pct"]) for one in offered]


def figures_of(opened: OpenedPlan, metals: Iterable[Metal], cautions: Iterable[ShownCaution]) -> dict[str, str]:
    """Return what stands in the lines beside their words: metals, temperatures on the school's scale."""
    fan = [caution.text for caution in cautions if caution.id == "R-01b"]
    named = [in_words(metal.name) for metal in metals if any(metal.name in text for text in fan)]
    return {
        "fan_metals": ", ".join(named) or _("a metal with zinc"),
        "door": degrees(words.DOOR_SHUT_TO_C, opened.units),
        "reheat": degrees(words.NO_REHEAT_UNDER_C, opened.units),
    }


def in_words(name: str) -> str:
    """Return a name of the shelf in the sheet's language, if anybody has put it there."""
    return gettext(name) if name else ""


def _said(line: Line, figures: Mapping[str, str]) -> Said:
    return Said(str(line.text) % figures, line.sign)


def wanted(line: Line, raised: Collection[str]) -> bool:
    """Tell whether a line stands on the sheet of a day that raised these rules."""
    return not line.when or not line.when.isdisjoint(raised)


def stops_of(cautions: Sequence[ShownCaution], figures: Mapping[str, str]) -> list[Said]:
    """Return the lines of the box: the sheet's own, then every other STOP in the words of its rule."""
    standing = [caution for caution in cautions if caution.level is Level.STOP and not caution.cleared_by]
    raised = {caution.id for caution in standing}
    own = [line for line in words.STOPS if wanted(line, raised)]
    spoken = frozenset().union(*(line.speaks_for for line in own))
    foreign = get_language() != "en"
    rest = [
        Said(caution.text, caution.signs[0][0] if caution.signs else None, foreign)
        for caution in standing
        if caution.id not in spoken
    ]
    said = [*(_said(line, figures) for line in own), *rest]
    over = len(said) - STOPS_ON_SHEET
    if over <= 0:
        return said
    more = ngettext(
        "Ask for %(over)d more STOP: it stands on the teacher's sheet.",
        "Ask for %(over)d more STOPs: they stand on the teacher's sheet.",
        over + 1,
    )
    return [*said[: STOPS_ON_SHEET - 1], Said(more % {"over": over + 1})]


def today_of(opened: OpenedPlan, metals: Iterable[Metal], record: SafetyRecord) -> list[tuple[str, str]]:
    """Return what is used on the day; what nobody recorded says so."""
    day = opened.sheet.day
    used = {key for wax in day.waxes for key in (wax.pattern, wax.sprue_pattern) if key}
    patterns = sorted(used or day.patterns)
    # Before there is a flask, any firing of the shelf may be the one.
    tops = [segment.to_c for night in opened.sheet.kilns for segment in night.segments]
    tops = tops or [segment.to_c for firing in day.firings for segment in firing.segments]
    return [
        (_("Metal"), "; ".join(metal_words(metal) for metal in metals) or str(NOT_RECORDED)),
        (_("Powder"), powder_words(day.investment.kind)),
        (_("Burned out"), ", ".join(in_words(key.replace("-", " ")) for key in patterns) or str(NOT_RECORDED)),
        (_("Kiln"), _("up to %(top)s") % {"top": degrees(max(tops), opened.units)} if tops else str(NOT_RECORDED)),
        (_("Melted with"), melter_words(record)),
        (_("Solvent"), yes_or_no(record.solvents)),
        (_("Pickle"), yes_or_no(record.pickle)),
    ]


def melter_words(record: SafetyRecord) -> str:
    """Return what melts the metal, a torch with its fuel."""
    if record.melter == "torch":
        return f"{record.get_melter_display()}, {record.get_fuel_display() or _('fuel not recorded, ask')}"
    return record.get_melter_display() or str(NOT_RECORDED)


def powder_words(kind: str) -> str:
    """Return a powder by its kind; the most common one with what is in its dust."""
    return _("plaster (gypsum) with silica in its dust") if kind == "gypsum" else in_words(kind)


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
    return _("yes") if fact else _("no")


def places_of(record: SafetyRecord) -> list[tuple[str, str]]:
    """Return where things are in the school's own words."""
    fields = {field.name: str(field.verbose_name) for field in SafetyRecord._meta.fields}
    return [(fields[name], getattr(record, name) or str(NOT_RECORDED)) for name in PLACE_NAMES]
