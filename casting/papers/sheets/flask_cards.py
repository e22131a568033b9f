"""A card for each flask: both views at true scale, what goes in, when, and boxes to tick."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from casting.calc.values.enums import Do
from casting.drawings.flask import SIDE_MM, draw_flask
from casting.drawings.svg import number
from casting.papers.pdf.svg_minify import lean
from casting.papers.print_job import PlanPrintJob
from casting.papers.sheets.label_stock import (
    BETWEEN_VIEWS_MM,
    PAD_MM,
    TAGS_A_LINE,
    Stock,
    layout_on,
    photos_beneath_mm,
    plain_stock,
    rules_of,
    stock_of,
)
from casting.papers.sheets.poster import draw_code
from casting.presenters.formats import SchoolUnits, clock_time, day_clock
from casting.presenters.plan_sheet import BowlLine, FlaskSheet, PlanSheet, SegmentLine
from casting.presenters.wax_in_flask import hour_of
from casting.selectors.wax_extras import WaxExtra, extras_of

ROOMY_MM = 60.0
"""Beside this much and more the words are set larger."""
NOTE_MOST = 40
"""Signs of a note that a line of a card has room for; a longer one is read on the page of the waxes."""
PHOTO_LINES = 4
"""A row of photos asks for as much room as so many lines of tags."""
LABEL = "label"
"""The layout of a card that is too small for views."""


Extras = Mapping[str, WaxExtra]
"""Notes and photos of waxes by tag."""


@dataclass(frozen=True, slots=True)
class PlacedCard:
    """A flask's card on its sheet; no layout: its views have no room on any card."""

    flask: FlaskSheet
    layout: str | None
    place: int
    stock: Stock
    extras: Extras

    @property
    def between_mm(self) -> float:
        """The middle between two views that stand side by side, from the card's left edge; its letter stands there."""
        return PAD_MM + self.flask.size.diameter_mm + 2 * SIDE_MM + BETWEEN_VIEWS_MM / 2

    @property
    def beside_mm(self) -> float:
        """What two views leave for words on their right."""
        return self.stock.width_mm - 2 * self.between_mm - BETWEEN_VIEWS_MM / 2

    @property
    def wide(self) -> str:
        """The style of its width, in hundredths of a millimetre."""
        return f"wide-{round(self.flask.size.diameter_mm * 100)}"

    @property
    def rules(self) -> str:
        """The style rules that set its letter between its views and its words beside them."""
        card = f".{self.stock.key} .{self.wide}"
        letter = f"{card} .between {{ left: {number(self.between_mm)}mm }}"
        return f"{letter}\n{card}.beside .facts {{ width: {number(self.beside_mm)}mm }}"

    @property
    def notes(self) -> list[tuple[str, str]]:
        """The notes that are short enough to print, with the tags of their waxes."""
        return _short_notes(self.flask, self.extras)

    @property
    def photos(self) -> list[tuple[str, str]]:
        """The photos of its waxes as addresses that hold them, with their tags; none if they have no room."""
        if not self.photo_mm:
            return []
        return [(key, f"data:image/jpeg;base64,{b64encode(jpeg).decode()}") for key, jpeg in self._jpegs]

    @property
    def photo_mm(self) -> float:
        """How wide and high each photo is; 0 if they have no room."""
        places, diameter_mm = _places(self.flask, self.extras), self.flask.size.diameter_mm
        return photos_beneath_mm(self.stock, self.layout or "", diameter_mm, places, len(self._jpegs))

    @property
    def photo_rule(self) -> str:
        """The style rule of its photos, whose class is their size in tenths of a millimetre."""
        size = number(self.photo_mm)
        return f".{self.photo_class} img {{ width: {size}mm; height: {size}mm }}"

    @property
    def photo_class(self) -> str:
        """The class of the row of its photos."""
        return f"photos-{round(self.photo_mm * 10)}"

    @property
    def _jpegs(self) -> list[tuple[str, bytes]]:
        keys = [on_base.wax.key for on_base in self.flask.waxes]
        return [(key, self.extras[key].photo) for key in keys if key in self.extras and self.extras[key].photo]

    @property
    def roomy(self) -> bool:
        """True if its words have room for larger type."""
        return self.layout not in (LABEL, "below") and (self.layout != "beside" or self.beside_mm >= ROOMY_MM)


@dataclass(frozen=True, slots=True)
class Card:
    """What stands on one flask's card. Times are None where a step was done before this plan.

    `top` is the hottest hold of its kiln.
    An invested flask is `in_kiln` from when its kiln goes on, as is noted; it has set and is loaded then.
    """

    laid: PlacedCard
    views: tuple[SafeString, ...]
    hours: tuple[tuple[str, str], ...]
    mix_at: datetime | None
    set_until: datetime | None
    load_at: datetime | None
    kiln_on_at: datetime | None
    top: SegmentLine | None
    in_kiln: bool
    bowl: BowlLine | None
    code: SafeString

    @property
    def top_heat(self) -> str:
        """From when to when its kiln is at its hottest, with the second weekday only past a midnight."""
        if self.top is None:
            return ""
        begins, ends = self.top.reached_at, self.top.ends_at
        until = clock_time(ends) if begins.date() == ends.date() else day_clock(ends)
        return _("%(at)s to %(until)s") % {"at": day_clock(begins), "until": until}

    @property
    def own_bowl(self) -> BowlLine | None:
        """The bowl that it has to itself, if more goes into that than the flask's own sum."""
        flask, bowl = self.laid.flask, self.bowl
        more = bowl and (bowl.powder_g, bowl.water_g) != (flask.powder_g, flask.water_g)
        return bowl if bowl and more and bowl.flasks == (flask.label,) else None


@dataclass(frozen=True, slots=True)
class Sheet:
    """Cards on one sheet of paper; `too_large` if they did not fit the stock that was asked for."""

    stock: Stock
    cards: tuple[PlacedCard, ...]
    too_large: bool


def flask_cards_html(
    job: PlanPrintJob, stock: str = "", skip: int = 0, nudge_x_mm: float = 0, nudge_y_mm: float = 0
) -> str | None:
    """Return the page of the cards, or None if there is no flask.

    `stock` is a key of `fixtures/label_stock.json`, plain paper if empty; a flask too large for its
    card is printed on plain paper after the others. `skip` cards of its first sheet are used up
    already; the nudges move all cards of that stock right and down.
    """
    opened = job.opened
    if not opened.sheet.flasks:
        return None
    asked = stock_of(stock) if stock else None
    extras = extras_of(job.day)
    cards = _Cards(opened.sheet, job.address_of(reverse("flasks", args=[job.day.pk])), opened.units)
    sheets = sheets_of(opened.sheet.flasks, opened.school.paper, asked, skip, extras)
    rules = [
        rules_of(used, *((nudge_x_mm, nudge_y_mm) if used == asked or asked is None else (0, 0)))
        for used in dict.fromkeys(sheet.stock for sheet in sheets)
    ]
    rules += dict.fromkeys(laid.rules for sheet in sheets for laid in sheet.cards if laid.layout in ("beside", "below"))
    rules += dict.fromkeys(laid.photo_rule for sheet in sheets for laid in sheet.cards if laid.photos)
    context = job.context() | {
        "sheets": [(sheet, [cards.card(laid) for laid in sheet.cards]) for sheet in sheets],
        # Lengths and keys of our own file; no word that anybody typed.
        "places": format_html("<style>{}</style>", mark_safe("\n".join(rules))),  # noqa: S308
    }
    return render_to_string("papers/flask_cards.html", context)


@dataclass(frozen=True, slots=True)
class _Cards:
    """Makes a card of a flask."""

    plan: PlanSheet
    page: str
    units: SchoolUnits

    def card(self, laid: PlacedCard) -> Card:
        flask = laid.flask
        bowl = next((bowl for bowl in self.plan.bowls if flask.label in bowl.flasks), None)
        night = next((night for night in self.plan.kilns if night.kiln.key == flask.kiln), None)
        sets, loads = self._steps(Do.SET, flask.label), self._steps(Do.LOAD, flask.label)
        return Card(
            laid,
            views=_views(laid, self.units),
            hours=tuple((on_base.name.tag, hour_of(on_base.place)) for on_base in flask.waxes),
            mix_at=bowl.at if bowl else None,
            set_until=max((until for _at, until in sets), default=None),
            load_at=min((at for at, _until in loads), default=None),
            kiln_on_at=night.on_at if night else None,
            top=max(night.segments, key=lambda one: one.to_c) if night else None,
            in_kiln=flask.poured or (flask.invested and night is not None and night.on_since is not None),
            bowl=bowl,
            code=draw_code(f"{self.page}#flask-{flask.label}"),
        )

    def _steps(self, do: Do, label: str) -> list[tuple[datetime, datetime]]:
        return [(step.at, step.until) for step in self.plan.steps_of(do) if label in step.flasks]


def _views(laid: PlacedCard, units: SchoolUnits) -> tuple[SafeString, ...]:
    """Both views of a flask at true scale, if its card has room for them."""
    if laid.layout in (None, LABEL):
        return ()
    return lean(draw_flask(laid.flask, units)), lean(draw_flask(laid.flask, units, mirrored=True))


def sheets_of(flasks: Iterable[FlaskSheet], paper: str, asked: Stock | None, skip: int, extras: Extras) -> list[Sheet]:
    """Return the sheets: the stock that was asked for first, then plain paper, the most cards a sheet first."""
    left = list(flasks)
    sheets: list[Sheet] = []
    for stock in ([asked] if asked else []) + plain_stock(paper):
        # For its photos a flask goes to a card of two on a sheet of plain paper; nothing more is given up for them.
        roomy = stock == plain_stock(paper)[0]
        layouts = [(flask, _layout(flask, stock, extras, PHOTO_LINES if roomy else 0)) for flask in left]
        fitting = [(flask, layout) for flask, layout in layouts if layout]
        sheets += _on(stock, fitting, skip if stock == asked else 0, bool(asked) and stock != asked, extras)
        left = [flask for flask, layout in layouts if not layout]
    # Wider than the paper, or a tree: the card comes without its views, and says so.
    largest = plain_stock(paper)[-1]
    return sheets + _on(largest, [(flask, None) for flask in left], 0, bool(asked), extras)


def _layout(flask: FlaskSheet, stock: Stock, extras: Extras, photo_lines: int) -> str | None:
    """A tree has more views than a card has room for at 1:1; the day plan shows them."""
    if not stock.views:
        return LABEL
    photos = any(extras[one.wax.key].photo for one in flask.waxes if one.wax.key in extras)
    places = _places(flask, extras) + TAGS_A_LINE * photo_lines * photos
    return None if flask.tiers else layout_on(stock, flask.size.diameter_mm, places)


def _places(flask: FlaskSheet, extras: Extras) -> int:
    """How many tags the lines below the views have to hold: what is said of a wax has a line of its own."""
    lines = sum(bool(on_base.reach_reason) for on_base in flask.waxes) + len(_short_notes(flask, extras))
    return len(flask.waxes) + TAGS_A_LINE * lines


def _short_notes(flask: FlaskSheet, extras: Extras) -> list[tuple[str, str]]:
    keys = [on_base.wax.key for on_base in flask.waxes if on_base.wax.key in extras]
    return [(key, note) for key in keys if 0 < len(note := extras[key].note) <= NOTE_MOST]


def _on(
    stock: Stock, flasks: Iterable[tuple[FlaskSheet, str | None]], skip: int, too_large: bool, extras: Extras
) -> list[Sheet]:
    """Return the sheets of one stock, its first `skip` places left empty."""
    placed: Sequence[tuple[int, FlaskSheet, str | None]] = [
        (nth, flask, layout) for nth, (flask, layout) in enumerate(flasks, start=skip)
    ]
    numbers = sorted({nth // stock.places for nth, _flask, _layout in placed})
    return [
        Sheet(
            stock,
            tuple(
                PlacedCard(flask, layout, nth % stock.places, stock, extras)
                for nth, flask, layout in placed
                if nth // stock.places == sheet
            ),
            too_large,
        )
        for sheet in numbers
    ]
