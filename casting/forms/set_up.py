"""The short lists of the set-up: a few boxes of many rows of the shelf, read and checked as on each row's own page."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from casting.forms.shelf.boxes import TickBox
from casting.forms.shelf.columns import EMPTY, Column
from casting.forms.shelf.describe import columns_for
from casting.forms.shelf.typed import typed_by
from casting.models import Alloy, FlaskSize, Kiln
from casting.models.shelf import ShelfRow, column_and_inside
from casting.presenters.figure_words import Reader
from casting.presenters.formats import units_of
from casting.presenters.refusals import said_at_box
from casting.presenters.sources import name_of
from casting.units import NotUnderstood
from school.forms.versioned import boxes_of, seen_as
from school.models import School

HERE = "here"
"""The box that says whether the school works with a row."""


@dataclass(frozen=True, slots=True)
class ShortList:
    """A list: whose rows, which of their columns, and what the tick before a row says; without one, 0 puts it away."""

    key: str
    model: type[ShelfRow]
    columns: Sequence[str]
    title: Any
    lead: Any
    page: str
    tick: Any = ""


SHORT_LISTS: Mapping[str, ShortList] = {
    one.key: one
    for one in (
        ShortList(
            "metals",
            Alloy,
            ("price_per_g",),
            _("Metals and today's prices"),
            _("Tick what your classes may cast, and type today's prices. An empty price is unknown, not free."),
            "metals",
            _("offered"),
        ),
        ShortList(
            "flasks",
            FlaskSize,
            ("count",),
            _("How many flasks of each size do you have?"),
            _("0 puts a size away. Perforated ones and other sizes are added on the Equipment page."),
            "equipment",
        ),
        ShortList(
            "kilns",
            Kiln,
            ("width_mm", "depth_mm", "height_mm", "delayed_start", "runs_program"),
            _("Kilns"),
            _("Measure the chamber inside. Unknown is not no: a plan then asks."),
            "equipment",
            _("we have it"),
        ),
    )
}
"""The short lists by the name that their addresses have."""


@dataclass(frozen=True, slots=True)
class Change:
    """What a list asks for of one row: other figures, and whether it is worked with."""

    row: ShelfRow
    values: Mapping[str, Any]
    version: int
    here: bool


class ShortListForm(forms.Form):
    """The boxes of a short list; one that is not touched keeps its stored figure."""

    def __init__(self, data: Mapping[str, str] | None, *, school: School, listed: ShortList) -> None:
        self.school, self.listed, self.units = school, listed, units_of(school)
        self.columns: dict[str, Column] = {
            column.name: column for column in columns_for(listed.model, school) if column.name in listed.columns
        }
        rows: Any = listed.model._default_manager.filter(school=school).select_related("school")
        self.rows: list[ShelfRow] = sorted(rows, key=lambda row: (not row.offered, row.place, row.key))
        reader = Reader(school)
        self.called = {row.pk: name_of(reader, row) for row in self.rows}
        super().__init__(data)
        for row in self.rows:
            self._add_boxes(row)

    def _add_boxes(self, row: ShelfRow) -> None:
        called = self.called[row.pk]
        self.fields[f"{row.pk}-version"] = forms.CharField(
            widget=forms.HiddenInput, initial=row.version, required=False
        )
        if self.listed.tick:
            tick = TickBox().field(f"{called}: {self.listed.tick}")
            tick.initial = "on" if row.offered else ""
            self.fields[f"{row.pk}-{HERE}"] = tick
        for name, column in self.columns.items():
            field = column.box.field(f"{called}: {column.label}")
            field.initial = self._stored(row, name)
            self.fields[f"{row.pk}-{name}"] = field

    def _stored(self, row: ShelfRow, name: str) -> str:
        """What stands in a box for what is stored; a size that is put away counts none."""
        if name == "count" and not row.offered:
            return "0"
        return self.columns[name].box.shown(getattr(row, name))

    @property
    def is_old(self) -> bool:
        """Whether somebody has saved a row of the list since its page was opened, or added one."""
        return any(self.data.get(f"{row.pk}-version") != str(row.version) for row in self.rows)

    def seen(self) -> str:
        """Return what is stored as the page carries it, to be held against what somebody else saves meanwhile."""
        return seen_as(boxes_of(ShortListForm(None, school=self.school, listed=self.listed) if self.is_bound else self))

    def typed_by(self, box: str) -> str:
        """Return who typed what a box has now; nothing if it is the shelf's."""
        pk, _dash, name = box.partition("-")
        return next((typed_by(row, name) for row in self.rows if str(row.pk) == pk), "")

    def clean(self) -> dict[str, Any]:
        """Read every box; all mistakes are told together, each at its box."""
        self.changes = [change for row in self.rows if (change := self._change_of(row))]
        return self.cleaned_data

    def _change_of(self, row: ShelfRow) -> Change | None:
        values = {name: self._value(row, name) for name in self.columns}
        here = bool(self.cleaned_data.get(f"{row.pk}-{HERE}")) if self.listed.tick else values["count"] != 0
        if not here and not self.listed.tick:
            values["count"] = row.count  # type: ignore[attr-defined]
        changed = {name: value for name, value in values.items() if getattr(row, name) != value}
        asked = copy.copy(row)
        for name, value in values.items():
            setattr(asked, name, value)
        asked.offered = here
        if here:
            self._refuse(row, asked)
        version = self.cleaned_data.get(f"{row.pk}-version", "")
        if not changed and here == row.offered:
            return None
        return Change(row, changed, int(version) if version.isdecimal() else 0, here)

    def _value(self, row: ShelfRow, name: str) -> Any:
        """Return the figure in a box; what cannot be read is told at it."""
        box, column = f"{row.pk}-{name}", self.columns[name]
        text = self.cleaned_data.get(box) or ""
        if text == self._stored(row, name) and not (name == "count" and not row.offered):
            return getattr(row, name)
        if not text.strip():
            if not column.nullable:
                self.add_error(box, gettext(EMPTY))
            return None
        try:
            return column.box.read(text)
        except NotUnderstood as wrong:
            self.add_error(box, wrong.sentence)
            return None

    def _refuse(self, row: ShelfRow, asked: ShelfRow) -> None:
        """Tell what the row's own reader refuses, at its box; what has none here at the first."""
        if any(f"{row.pk}-{name}" in self.errors for name in self.columns):
            return
        for one in asked.refusals():
            name, _inside = column_and_inside(one.place)
            self.add_error(
                f"{row.pk}-{name if name in self.columns else self.listed.columns[0]}", said_at_box(one, self.units)
            )

    def shown(self) -> Iterator[tuple[Any, ...]]:
        """Yield each row: what it is called, its tick, its hidden version, its boxes each with its unit and name."""
        for row in self.rows:
            tick = self[f"{row.pk}-{HERE}"] if self.listed.tick else None
            boxes = [
                (self[f"{row.pk}-{name}"], column.box.after, column.label) for name, column in self.columns.items()
            ]
            yield row, self.called[row.pk], tick, self[f"{row.pk}-version"], boxes
