"""Every figure that a school's plans use, with its value, its source and what that is worth."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as lazy
from django.utils.translation import pgettext

from casting.calc.values import day_input
from casting.calc.values.caution_rule import CautionRule, Limit
from casting.calc.values.enums import Asked, Status
from casting.calc.values.marked_text import FROM_MEMORY
from casting.calc.values.sentence import Sentence, places_of
from casting.dayfile.rules_file import rulebook
from casting.dayfile.shelf_file import shelf
from casting.dayfile.source_words import source_sentence, without_memory
from casting.dayfile.sources_file import element_rows, material_rows, origins
from casting.models.equipment import Firing, FlaskSize, HouseRules, Kiln
from casting.models.shelf import OWN_DAYS, TYPED, ShelfRow
from casting.presenters.figure_words import Reader, limit_line, what_of, word_of
from casting.presenters.lengths import flask_size
from casting.presenters.limit_words import OF_LIMITS
from casting.presenters.wording import in_units
from casting.selectors.shelf import house_rules, shelf_rows
from school.models import School

WORTH = {
    Status.PUBLISHED: (lazy("published"), lazy("The source named has printed it.")),
    Status.SECOND_HAND: (lazy("second hand"), lazy("Somebody else says that the source has it.")),
    Status.COMPUTED: (lazy("worked out"), lazy("It follows from other figures.")),
    Status.PRACTICE: (lazy("common practice"), lazy("Many casters work so. No single source.")),
    Status.JUDGEMENT: (lazy("judgement"), lazy("Somebody decided it. Others might decide otherwise.")),
    Status.MEMORY: (lazy("from memory"), lazy("Nobody has looked it up. Check the supplier's sheet.")),
    Status.INVENTED: (lazy("invented"), lazy("A placeholder. Set your own.")),
}
"""What a source is worth, in a word and in a sentence."""

HEADINGS = {
    "alloys": lazy("Metals"),
    "patterns": lazy("Patterns"),
    "investment": lazy("Powder"),
    "flask_sizes": lazy("Flasks"),
    "firings": lazy("Firings"),
    "kilns": lazy("Kilns"),
}
ELEMENT_FIGURES = ("density_g_per_cm3", "solid_j_per_g_k", "fusion_j_per_g", "liquid_j_per_g_k")
NESTED = ("flask_c", "button_pct")
ASKED = {
    Asked.SET_UP: lazy("Before the day"),
    Asked.PLAN: lazy("In the plan"),
    Asked.KILN: lazy("At the kiln"),
    Asked.MELT: lazy("At the melt"),
    Asked.POUR: lazy("At the pour"),
    Asked.QUENCH: lazy("At the quench"),
}
BLANK = re.compile(r"…(?:[\u202f\u00a0\u2007](?:°C/h|°C|degrees C))?")
"""A figure of the day in a rule's words, which stands for nothing here."""
ARTICLE = re.compile(r"^(?:the|el) ")
"""How a sentence's words for a firing begin."""


@dataclass(frozen=True, slots=True)
class FigureRow:
    """One figure: its anchor, its value (a line for each part), what it is, its source and what that is worth."""

    anchor: str
    lines: Sequence[str]
    what: str
    source: str
    worth: str
    remembered: bool = False
    of_rule: bool = False


@dataclass(frozen=True, slots=True)
class Thing:
    """What figures belong to: a metal, a kiln, the house rules."""

    anchor: str
    name: str
    rows: Sequence[FigureRow]
    note: str = ""

    @property
    def remembered(self) -> list[FigureRow]:
        """Its figures from memory."""
        return [row for row in self.rows if row.remembered]


@dataclass(frozen=True, slots=True)
class Group:
    """Things of one kind, under one heading."""

    anchor: str
    name: str
    things: Sequence[Thing] = field(default_factory=tuple)


@dataclass(frozen=True, slots=True)
class Sources:
    """All figures of a school, with how many there are of each worth."""

    groups: Sequence[Group]

    @property
    def things(self) -> list[Thing]:
        """Everything that has figures."""
        return [thing for group in self.groups for thing in group.things]

    @property
    def figure_count(self) -> int:
        """The number of figures; a rule's own words are none."""
        return sum(not row.of_rule for thing in self.things for row in thing.rows)

    @property
    def row_count(self) -> int:
        """The number of lines: figures, and rules in their own words."""
        return sum(len(thing.rows) for thing in self.things)

    @property
    def remembered_count(self) -> int:
        """The number of figures from memory."""
        return sum(len(thing.remembered) for thing in self.things)


def matching(sources: Sources, words: str) -> Sources:
    """Return the figures that have all these words in what they are of, what they are, their value or source."""
    asked = words.casefold().split()

    def has_them(thing: Thing, row: FigureRow) -> bool:
        text = " ".join((thing.name, row.what, *row.lines, row.source, row.worth)).casefold()
        return all(word in text for word in asked)

    groups = []
    for group in sources.groups:
        found = [replace(thing, rows=[row for row in thing.rows if has_them(thing, row)]) for thing in group.things]
        groups.append(replace(group, things=[thing for thing in found if thing.rows]))
    return Sources([group for group in groups if group.things])


def worths() -> list[tuple[str, str]]:
    """Return each word for what a source is worth, with what it means."""
    return [(str(word), str(meaning)) for word, meaning in WORTH.values()]


def sources_of(school: School) -> Sources:
    """Return every figure of a school's shelf and of the rulebook. A query for each list of the shelf."""
    reader = Reader(school)
    shelf_rows_of = shelf_rows(school)
    groups = [
        Group(heading, str(HEADINGS[heading]), [_of_shelf(reader, heading, row) for row in rows])
        for heading, rows in shelf_rows_of.items()
    ]
    groups += [
        Group("house", _("House rules"), [_of_rules(reader)]),
        Group("usual", _("Where nothing is typed"), [_of_defaults(reader)]),
        Group("other", _("Other materials"), list(_of_materials())),
        Group("elements", _("Elements"), list(_of_elements(reader, shelf_rows_of["alloys"]))),
        Group("cautions", _("Cautions"), list(_of_cautions(reader))),
    ]
    return Sources(groups)


def _of_shelf(reader: Reader, heading: str, row: ShelfRow) -> Thing:
    """A row of the shelf with those of its figures that are typed in."""
    anchor = f"{heading}.{row.key}"
    values = {name: getattr(row, name) for name in row.figures if name != "name"}
    shown = {name: value for name, value in values.items() if value is not None or name not in _leaves_out(row)}
    rows = [_row(reader, anchor, figure, value, row.sources) for figure, value in parts_of(shown)]
    note = "" if row.offered else _("not worked with")
    return Thing(anchor, name_of(reader, row), rows, note)


def _leaves_out(row: ShelfRow) -> set[str]:
    """The columns that follow from others where they are blank."""
    if isinstance(row, Kiln):
        return {"wall_gap_mm"}
    return {column.name for column in row._meta.fields if column.null} if isinstance(row, FlaskSize) else set()


def name_of(reader: Reader, row: ShelfRow) -> str:
    """Return what a row is called: a size by its measures, a firing by what it is for."""
    read = ShelfRow.read(row) if isinstance(row, FlaskSize | Firing) else None  # a firing's own asks for the powder
    if isinstance(read, day_input.FlaskSize):
        return flask_size(read, reader.units)
    if isinstance(read, day_input.Firing):
        return capfirst(ARTICLE.sub("", in_units(read.called, reader.units)))
    return row.name


def _of_rules(reader: Reader) -> Thing:
    """The house rules: the school's own, and the usual ones where it has set none."""
    own = house_rules(reader.school) or HouseRules()
    usual = shelf().one("rules")
    return Thing("rules", _("House rules"), [
        _row(reader, "rules", figure, value, own.told) for figure, value in parts_of(usual | own.rules)
    ])  # fmt: skip


def _of_defaults(reader: Reader) -> Thing:
    """What a flask size or a kiln has where its row leaves it out."""
    usual = shelf().defaults
    values = {name: getattr(usual, name) for name in usual.__slots__}
    sources = {figure.removeprefix("defaults."): origin for figure, origin in origins().items()}
    return Thing("defaults", _("Flask sizes and kilns"), [
        _row(reader, "defaults", figure, value, sources) for figure, value in parts_of(values)
    ])  # fmt: skip


def parts_of(values: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """Yield the figures by name, those of an object part by part, as in `flask_c.thin`."""
    for name, value in values.items():
        if name in NESTED and isinstance(value, Mapping):
            yield from ((f"{name}.{part}", inner) for part, inner in value.items())
        else:
            yield name, value


def _row(reader: Reader, place: str, figure: str, value: Any, sources: Mapping[str, Any]) -> FigureRow:
    """A figure with its own source, or that of the whole row."""
    source, worth, remembered = told(reader, origin_of(figure, sources))
    lines = _starred(reader.lines(figure, value), remembered)
    return FigureRow(f"{place}.{figure}", lines, what_of(figure), source, worth, remembered)


def origin_of(figure: str, sources: Mapping[str, Any]) -> Mapping[str, str] | None:
    """Return the source of a figure among those of its thing: its own, or that of the whole row."""
    return sources.get(figure) or sources.get(figure.partition(".")[0]) or sources.get("")


def _starred(lines: Iterable[str], remembered: bool) -> list[str]:
    return [f"{line}{FROM_MEMORY}" if remembered else line for line in lines]


def told(reader: Reader, origin: Mapping[str, str] | None) -> tuple[str, str, bool]:
    """Return a source in words, what it is worth, and whether it is memory; said once where both are the same."""
    if origin is None:
        return _("No source is recorded."), _("not recorded"), False
    worth = str(WORTH[Status(origin["status"])][0])
    remembered = origin["status"] == Status.MEMORY
    if origin["source"].startswith(OWN_DAYS):
        how_many = origin["source"].removeprefix(OWN_DAYS)
        return capfirst(_("the school's own days") + how_many), _("the school's own"), remembered
    if origin["source"].startswith(TYPED):
        who_and_when = origin["source"].removeprefix(TYPED)
        return capfirst(_("typed by the school") + who_and_when), _("the school's own"), remembered
    source = (without_memory if remembered else source_sentence)(origin["source"])
    words = in_units(source, reader.units)
    return "" if words == worth else capfirst(words), worth, remembered


def _of_materials() -> Iterator[Thing]:
    """What is known of materials that the shelf does not stock; those of one source and one answer together."""
    alike: dict[tuple[Any, ...], list[str]] = {}
    for row in material_rows():
        alike.setdefault(tuple((name, value) for name, value in row.items() if name != "key"), []).append(row["key"])
    yes_no = {True: _("yes"), False: _("no"), None: _("not recorded")}
    for facts, keys in alike.items():
        row = dict(facts)
        source, worth, remembered = told(Reader(School()), row)
        rows = [
            FigureRow(
                f"materials.{keys[0]}.{name}",
                _starred([yes_no[value]], remembered),
                what_of(name),
                source,
                worth,
                remembered,
            )
            for name, value in facts
            if name not in ("source", "status")
        ]
        yield Thing(f"materials.{keys[0]}", ", ".join(keys), rows)


def _of_elements(reader: Reader, metals: Iterable[ShelfRow]) -> Iterator[Thing]:
    """The elements in the school's metals: a metal is held against their densities, its melt takes their heats."""
    used = {sign for metal in metals for sign in (getattr(metal, "composition_pct", None) or {})}
    for element in element_rows():
        if element["symbol"] not in used:
            continue
        names = [name for name in element if name in ELEMENT_FIGURES]
        heat = {"source": element.get("heat_source", ""), "status": element.get("heat_status", "")}
        sources = dict.fromkeys(names, heat) | {"density_g_per_cm3": element}
        place = f"elements.{element['symbol']}"
        name = f"{capfirst(pgettext('element', element['name']))} ({element['symbol']})"
        yield Thing(place, name, [_row(reader, place, one, element[one], sources) for one in names])


def _of_cautions(reader: Reader) -> Iterator[Thing]:
    """The rules by when they are asked, each with its limits; then the limits that belong to none."""
    book = rulebook()
    own = {name for rule in book.rules.values() for name in rule.limits}
    for asked in Asked:
        rows: list[FigureRow] = []
        for rule in book.rules.values():
            if rule.when is asked:
                rows += [_rule(reader, rule), *(_limit(reader, limit, rule.text) for limit in rule.limits.values())]
        yield Thing(f"asked.{asked}", str(ASKED[asked]), rows)
    others = [_limit(reader, limit, "") for name, limit in book.limits.items() if name not in own]
    yield Thing("limits", _("Limits of the plan itself"), others)


def _rule(reader: Reader, rule: CautionRule) -> FigureRow:
    """A rule in its words, with its own limits filled in and a gap for each figure of the day."""
    known = {limit.name: limit.value for limit in rule.limits.values()}
    said = Sentence(rule.text, {name: known.get(name, "…") for name, _spec in places_of(rule.text)})
    words = BLANK.sub("…", in_units(said, reader.units)).replace("….", "…")
    source, worth, _remembered = told(reader, {"source": rule.basis, "status": rule.status})
    return FigureRow(f"cautions.{rule.id}", [word_of(rule.level)], words, source, worth, of_rule=True)


def _limit(reader: Reader, limit: Limit, words: str) -> FigureRow:
    source, worth, remembered = told(reader, {"source": limit.source, "status": limit.status})
    lines = _starred([limit_line(reader, limit.name, limit.value, words)], remembered)
    return FigureRow(f"limits.{limit.name}", lines, what_of(limit.name, OF_LIMITS), source, worth, remembered)
