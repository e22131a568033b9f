"""The shelf as a teacher's pages show it: lists of things, and where each figure of one comes from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from casting.calc.quantities.alloy import specific_gravity
from casting.calc.values.enums import Status
from casting.calc.values.errors import Refused
from casting.calc.values.marked_text import FROM_MEMORY
from casting.dayfile.shelf_file import densities
from casting.dayfile.sources_file import origins
from casting.models import Alloy, Firing, FlaskSize, HouseRules, Investment, Kiln, PatternMaterial
from casting.models.equipment import usual_rule
from casting.models.shelf import ShelfRow
from casting.presenters.figure_words import Reader, what_of, word_of
from casting.presenters.formats import NARROW_SPACE, decimals, plain
from casting.presenters.sources import name_of, origin_of, parts_of, told
from casting.presenters.wording import shelf_name
from casting.selectors.shelf import stock_of


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of thing on the shelf: its page, its words, and the figures that its list shows."""

    slug: str
    model: type[ShelfRow]
    page: str
    many: Any
    one: Any
    add: Any
    figures: Sequence[str]
    note: Any = ""


KINDS: Mapping[str, Kind] = {
    kind.slug: kind
    for kind in (
        Kind(
            "metals",
            Alloy,
            "metals",
            _("Metals"),
            _("metal"),
            _("Add a metal"),
            ("composition_pct", "pour_c", "flask_c.medium", "price_per_g"),
        ),
        Kind(
            "flasks",
            FlaskSize,
            "equipment",
            _("Flasks"),
            _("flask"),
            _("Add a flask"),
            ("count", "mount", "wall"),
        ),
        Kind(
            "kilns",
            Kiln,
            "equipment",
            _("Kilns"),
            _("kiln"),
            _("Add a kiln"),
            ("width_mm depth_mm height_mm", "max_ramp_c_per_h", "max_c"),
        ),
        Kind(
            "firings",
            Firing,
            "equipment",
            _("Firings"),
            _("firing"),
            _("Add a firing"),
            ("max_diameter_mm max_height_mm", "kinds", "segments"),
            _("A kiln gets the first firing here that suits all of its flasks, so put the shortest first."),
        ),
        Kind(
            "powders",
            Investment,
            "equipment",
            _("Investment, the plaster"),
            _("investment"),
            _("Add an investment"),
            ("water_per_100", "working_min", "max_c"),
            _("Plans use the first one."),
        ),
        Kind(
            "waxes",
            PatternMaterial,
            "equipment",
            _("Wax materials"),
            _("wax material"),
            _("Add a wax material"),
            ("kind", "specific_gravity"),
        ),
    )
}
"""The kinds by the name that their addresses have."""

HOUSE = Kind("rules", HouseRules, "house_rules", _("House rules"), _("house rules"), _("House rules"), ())
"""The house rules: one row, with a page of its own."""


@dataclass(frozen=True, slots=True)
class Listed:
    """A row of a list: what it is called, and a cell of lines for each figure."""

    row: ShelfRow
    called: str
    cells: Sequence[Sequence[str]]


@dataclass(frozen=True, slots=True)
class Listing:
    """All rows of a kind: those that the school works with in its order, and those put away."""

    kind: Kind
    heads: Sequence[str]
    rows: Sequence[Listed]
    away: Sequence[Listed]


@dataclass(frozen=True, slots=True)
class FigureNote:
    """Where figures of a column come from: the parts that share a source, and the shelf's own value if it differs."""

    origins: Sequence[tuple[str, str, str, bool]]
    """Which parts (none for the whole column), the source, its worth, whether it is from memory."""
    stock: Sequence[str] = ()
    follows: Sequence[str] = ()
    """What plans take while the column is empty."""
    usual: Sequence[str] = ()
    """The usual house rule; `differs` if the school has another one."""
    differs: bool = False


def listing(kind: Kind, reader: Reader) -> Listing:
    """Return the rows of a kind of thing. One query."""
    rows = kind.model._default_manager.filter(school=reader.school).order_by("place", "key")
    listed = [Listed(row, called(reader, row), [_cell(reader, row, one) for one in kind.figures]) for row in rows]
    heads = [str(capfirst(HEADS.get(one) or what_of(one))) for one in kind.figures]
    return Listing(
        kind, heads, [one for one in listed if one.row.offered], [one for one in listed if not one.row.offered]
    )


def called(reader: Reader, row: ShelfRow) -> str:
    """Return what a page calls a row; a firing goes by its own name, as what it is for stands beside it."""
    try:
        return row.name if isinstance(row, Firing) else name_of(reader, row)
    except Refused:  # a row that plans refuse is still listed, so that it can be put right
        return row.name


HEADS: Mapping[str, Any] = {
    "width_mm depth_mm height_mm": _("chamber, width × depth × height"),
    "max_diameter_mm max_height_mm": _("for flasks up to"),
}
"""The heads of cells that hold several figures."""


def _cell(reader: Reader, row: ShelfRow, figure: str) -> list[str]:
    """A figure's lines, each with a star if it is from memory; several figures on one line are lengths."""
    if " " in figure:
        sides = [(reader.short_length(getattr(row, one)), _remembered(row, one)) for one in figure.split()]
        return [" × ".join(f"{side}{FROM_MEMORY}" if star else side for side, star in sides)]
    name, _point, part = figure.partition(".")
    value = getattr(row, name)
    lines = reader.lines(figure, value[part] if part else value)
    star = value is not None and _remembered(row, figure)
    return [f"{line}{FROM_MEMORY}" for line in lines] if star else lines


def _remembered(row: ShelfRow, figure: str) -> bool:
    """Whether a figure of a row is from memory."""
    origin = origin_of(figure, row.sources)
    return origin is not None and origin["status"] == Status.MEMORY


def notes_of(row: ShelfRow, reader: Reader) -> dict[str, FigureNote]:
    """Return where the figures of each column of a row come from."""
    stock, read = stock_of(row), _read(row)
    if "name" in stock:  # kept in the language of whoever made the school
        own = shelf_name(stock["name"])
        stock["name"] = row.name if row.name in (stock["name"], own) else own
    notes = {}
    for name in ("name", *row.figures):
        value = getattr(row, name)
        known = dict(parts_of({name: value})) if value is not None and name != "name" else {}
        differs = name in stock and stock[name] != value
        follows = getattr(read, name, None) if value is None else None
        notes[name] = FigureNote(
            _origins(row.sources, reader, known),
            _lines(reader, name, stock[name]) if differs else (),
            _lines(reader, name, follows) if follows is not None else (),
        )
    return notes


def _read(row: ShelfRow) -> object:
    """A row as plans read it; None while it is refused."""
    try:
        return row.read()
    except Refused:
        return None


def _lines(reader: Reader, name: str, value: Any) -> list[str]:
    """A column's value as lines, part by part."""
    parts = dict(parts_of({name: value})) if value is not None else {name: None}
    return [line for figure, one in parts.items() for line in reader.lines(figure, one)]


def rule_notes_of(row: HouseRules, reader: Reader) -> dict[str, FigureNote]:
    """Return where each house rule comes from, and what is usual."""
    notes = {}
    for name in row.figures:
        usual, value = usual_rule(name), getattr(row, name)
        known = dict(parts_of({name: value})) if value not in (None, []) else {}
        notes[name] = FigureNote(
            _origins(row.told, reader, known),
            usual=_usual_lines(reader, name, usual),
            differs=value != usual,
        )
    return notes


def _usual_lines(reader: Reader, name: str, usual: Any) -> list[str]:
    """A usual rule in words; its parts with the thickness that each is for, and with a star what is from memory."""
    if usual is None:
        return [gettext("none")]
    star = FROM_MEMORY if origins().get(f"rules.{name}", {}).get("status") == Status.MEMORY else ""
    if isinstance(usual, Mapping):
        return [f"{word_of(section)} {reader.one(name, one)}{star}" for section, one in usual.items()]
    return [f"{line}{star}" for line in reader.lines(name, usual)]


def _origins(sources: Mapping[str, Any], reader: Reader, known: Mapping[str, Any]) -> list[tuple[str, str, str, bool]]:
    """The sources of the parts of a column; one that all of them share is told once."""
    found: dict[tuple[str, str, bool], list[str]] = {}
    for figure in known:
        found.setdefault(told(reader, origin_of(figure, sources)), []).append(figure.partition(".")[2])
    none = told(reader, None)
    lines = []
    for of, parts in found.items():
        which = "" if len(found) == 1 else ", ".join(word_of(part) for part in parts)
        source, worth, remembered = of if of != none else ("", none[0], False)
        if worth == gettext("the school's own"):
            worth = ""  # who typed it says it already
        lines.append((which, source, worth, remembered))
    return lines


WHOLE_WITHIN_PCT = 0.5 + 1e-9
"""Parts of a metal add up to 100 % within this, as a day file asks (casting/PLAN_FILE.md)."""


@dataclass(frozen=True, slots=True)
class Parts:
    """What the parts of a metal come to: their sum, and the specific gravity that they make beside the maker's."""

    sum: str = ""
    gravity: str = ""
    apart: str = ""
    whole: bool = True
    """False if all parts are recorded and do not make a whole."""


def parts_come_to(shares: Mapping[str, float | None], gravity: float | None) -> Parts:
    """Return what the parts of a metal come to; the gravity only where every part is a metal that is recorded."""
    known = {sign: share for sign, share in shares.items() if share is not None}
    if not known:
        return Parts()
    total = f"{plain(sum(known.values()))}{NARROW_SPACE}%"
    whole = abs(sum(known.values()) - 100) <= WHOLE_WITHIN_PCT
    if len(known) < len(shares) or not known.keys() <= densities().keys() or not whole:
        return Parts(total, whole=whole or len(known) < len(shares))
    made = specific_gravity(known, densities())
    apart = f"{decimals(abs(gravity / made - 1) * 100, 1)}{NARROW_SPACE}%" if gravity else ""
    return Parts(total, decimals(made, 2), apart)
