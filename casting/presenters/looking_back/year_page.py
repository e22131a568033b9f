"""A school's year as its page and its list show it: a row for each month, and what a plot has of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils import formats as django_formats
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from casting.models import Alloy
from casting.presenters.formats import NARROW_SPACE, SchoolUnits, decimals, rounded, units_of, weighed_on
from casting.selectors.looking_back.year import Month, Tally, Year
from school.csv_file import Cell
from school.models import School

Value = int | float | Decimal | None
"""None where there is nothing that it could be of: no share of no metal."""


@dataclass(frozen=True, slots=True)
class Column:
    """A figure of each month: its head, its head in the list, its value, and how it is told."""

    slug: str
    head: str
    csv_head: str
    value: Callable[[Month], Value]
    told: Callable[[Value], str]
    of_which: Callable[[Month], Value] | None = None
    """A part of it, which a plot fills."""
    part: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """Figures of the months or metals that have any: the heads, and a row for each with its name."""

    called: str
    heads: Sequence[str]
    rows: Sequence[tuple[str, Sequence[str]]]


@dataclass(frozen=True, slots=True)
class Plot:
    """A figure over the months: what it is, what its filled part is, the values, and the most of them in words."""

    called: str
    part: str
    months: Sequence[str]
    values: Sequence[float | None]
    parts: Sequence[float]
    most: str


@dataclass(frozen=True)
class YearPage:
    """All that the page of a year shows."""

    year: Year
    school: School

    @property
    def columns(self) -> list[Column]:
        """The figures of a month."""
        return _columns(units_of(self.school))

    @property
    def tables(self) -> list[Table]:
        """The figures in two tables, so that each has room: flasks and pieces, and metal."""
        at = next(nth for nth, column in enumerate(self.columns) if column.slug == "weighed")
        parts = (_("Flasks and pieces"), self.columns[:at]), (_("Metal"), self.columns[at:])
        months = [month for month in self.year.months if month.days or month.came_g or month.went_g]
        return [
            Table(
                called,
                [column.head for column in columns],
                [(name_of(one.number), [column.told(column.value(one)) for column in columns]) for one in months],
            )
            for called, columns in parts
            if months
        ]

    @property
    def plots(self) -> list[Plot]:
        """The figures that are drawn, of those of which there is anything."""
        drawn = ("pieces", "weighed", "loss", "powder")
        plots = [_plot(column, self.year.months) for column in self.columns if column.slug in drawn]
        return [plot for plot in plots if any(plot.values)]

    @property
    def metals(self) -> Table:
        """Each metal with its figures of the year, in the school's order."""
        units, tallies = units_of(self.school), self.year.metals
        rows = Alloy.objects.filter(school=self.school, key__in=tallies)
        heads = [_("flasks poured"), _("of them settled"), _("pieces"), _("metal weighed out")]
        heads += [_("castings"), _("yield"), _("lost"), _("lost, share")]
        return Table(_("Metal"), heads, [(alloy.name, _of_metal(tallies[alloy.key], units)) for alloy in rows])

    @property
    def before(self) -> int | None:
        """The last year before it that has a day."""
        return max((one for one in self.year.years if one < self.year.number), default=None)

    @property
    def after(self) -> int | None:
        """The first year after it that has a day."""
        return min((one for one in self.year.years if one > self.year.number), default=None)


def name_of(month: int) -> str:
    """Return the name of a month, in the reader's language."""
    return str(capfirst(django_formats.date_format(dt.date(2000, month, 1), "F")))


def year_table(page: YearPage) -> tuple[Sequence[str], list[Sequence[Cell]]]:
    """Return the months of a year for a spreadsheet; what nobody weighed is left empty."""
    header = [_("Month"), *(column.csv_head for column in page.columns)]
    return header, [
        [f"{page.year.number}-{month.number:02d}", *(_cell(column.value(month)) for column in page.columns)]
        for month in page.year.months
    ]


def _cell(value: Value) -> Cell:
    return value if value is None or isinstance(value, int) else rounded(value)


def _columns(units: SchoolUnits) -> list[Column]:
    def weight(value: Value) -> str:
        return "" if value is None else weighed_on(rounded(value), units)

    return [
        Column("days", _("days"), _("Days"), lambda one: one.days, _count),
        Column("poured", _("flasks poured"), _("Flasks poured"), lambda one: one.flasks.poured, _count),
        Column("settled", _("of them settled"), _("Flasks settled"), lambda one: one.flasks.settled, _count),
        Column(
            "pieces", _("pieces"), _("Pieces"), _of_settled(lambda one: one.flasks.pieces), _count,
            lambda one: one.with_defect, _("with a defect"),
        ),
        Column("defects", _("with a defect"), _("Pieces with a defect"), lambda one: one.with_defect, _count),
        Column("powder", _("powder"), _("Powder [g]"), lambda one: one.powder_g, _kilograms),
        Column(
            "weighed", _("metal weighed out"), _("Metal weighed out [g]"),
            _of_settled(lambda one: one.flasks.metal.charge_g), weight,
            lambda one: one.flasks.metal.castings_g, _("castings"),
        ),
        Column(
            "castings", _("castings"), _("Castings [g]"), _of_settled(lambda one: one.flasks.metal.castings_g), weight
        ),
        Column(
            "yield", _("yield"), _("Yield [%]"), _of_settled(lambda one: one.flasks.metal.piece_yield_pct), _share
        ),
        Column("loss_g", _("lost"), _("Lost [g]"), _of_settled(lambda one: one.flasks.metal.left_g), weight),
        Column("loss", _("lost, share"), _("Lost [%]"), _of_settled(lambda one: one.flasks.metal.left_pct), _share),
        Column("came", _("metal came in"), _("Metal came in [g]"), lambda one: one.came_g, weight),
        Column("went", _("metal went out"), _("Metal went out [g]"), lambda one: one.went_g, weight),
    ]  # fmt: skip


def _of_settled(value: Callable[[Month], Value]) -> Callable[[Month], Value]:
    """A figure of settled flasks; None where none is, as blank is not zero."""
    return lambda month: value(month) if month.flasks.settled else None


def _count(value: Value) -> str:
    return "" if value is None else str(value)


def _share(value: Value) -> str:
    return "" if value is None else f"{decimals(value, 1)}{NARROW_SPACE}%"


def _kilograms(value: Value) -> str:
    return "" if value is None else f"{decimals(value / 1000, 1)}{NARROW_SPACE}kg"


def _plot(column: Column, months: Sequence[Month]) -> Plot:
    values = [column.value(month) for month in months]
    most = max((value for value in values if value is not None), default=None)
    return Plot(
        column.head,
        column.part,
        [name_of(month.number)[:3] for month in months],
        [None if value is None else float(value) for value in values],
        [float((column.of_which and column.of_which(month)) or 0) for month in months],
        column.told(most),
    )


def _of_metal(tally: Tally, units: SchoolUnits) -> list[str]:
    """The figures of a metal: flasks, pieces, weights and shares; empty where no flask of it is settled."""
    if not tally.settled:
        return [str(tally.poured), "0", "", "", "", "", "", ""]
    metal = tally.metal
    return [
        str(tally.poured),
        str(tally.settled),
        str(tally.pieces),
        weighed_on(rounded(metal.charge_g), units),
        weighed_on(rounded(metal.castings_g), units),
        _share(metal.piece_yield_pct),
        weighed_on(rounded(metal.left_g), units),
        _share(metal.left_pct),
    ]
