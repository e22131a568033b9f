"""The form of a thing on the shelf: it reads its boxes in the school's units and asks the row's own reader."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext

from casting.calc.values.errors import Refused
from casting.dayfile.validation import check_text
from casting.forms.shelf.columns import EMPTY, Column
from casting.forms.shelf.describe import columns_for
from casting.models.shelf import ShelfRow, column_and_inside, key_from
from casting.presenters.formats import units_of
from casting.presenters.refusals import said_at_box
from casting.units import NotUnderstood
from school.forms.versioned import seen_as

Typed = Mapping[str, str]
"""What stands in every box of a page, by the name of the box."""

LONGEST_NAME = 80


@dataclass(frozen=True, slots=True)
class ShownBox:
    """A box with the unit behind it."""

    field: forms.BoundField
    after: str


@dataclass(frozen=True, slots=True)
class ShownColumn:
    """A column as its page shows it."""

    column: Column
    lines: Sequence[tuple[Any, Sequence[ShownBox]]]

    @property
    def errors(self) -> list[tuple[str, str]]:
        """What is wrong in its boxes, in order, each with the name that its box gives it."""
        boxes = [box.field for _called, line in self.lines for box in line]
        return [(f"{field.auto_id}_error", " ".join(map(str, field.errors))) for field in boxes if field.errors]

    @property
    def single(self) -> forms.BoundField | None:
        """Its only box, if it has one."""
        return self.lines[0][1][0].field if not self.column.heads and len(self.lines) == 1 else None


class ThingForm(forms.Form):
    """The boxes of one row. `row` is what is stored, or a new row; a box that is not touched keeps its stored figure.

    Unbound, it shows `typed`, if that is given, in place of what is stored.
    """

    def __init__(self, data: Typed | None, *, row: ShelfRow, typed: Typed | None = None) -> None:
        self.row, self.units = row, units_of(row.school)
        self.columns = columns_for(type(row), row.school)
        self.stored = stored_texts(row, self.columns)
        self.typed: Typed = self.stored if data is None and typed is None else {**(data or typed or {})}
        super().__init__(data, initial=dict(self.typed))
        self.lines = {column.name: column.lines(texts_in(self.typed, column)) for column in self.columns}
        for column in self.columns:
            for line in self.lines[column.name]:
                for part in line.parts:
                    label = column.label_of(part, line)
                    self.fields[box_name(column, part)] = column.box_of(part).field(label)

    def clean(self) -> dict[str, Any]:
        """Read the boxes, then let the row's reader say what it refuses; all mistakes are told together."""
        read = {column.name: self._parts_of(column) for column in self.columns}
        values = {column.name: column.join(read[column.name]) for column in self.columns}
        self.changed_row = copy.copy(self.row)
        for column in self.columns:
            self._required(column, values[column.name], read[column.name])
            setattr(self.changed_row, column.name, values[column.name])
        if not self.changed_row.key:
            self.changed_row.key = key_from(str(values["name"] or ""))
        wrong = {*self.errors}
        by_name = {column.name: column for column in self.columns}
        for one in self.changed_row.refusals():
            name, inside = column_and_inside(one.place)
            column = by_name[name]
            box = box_name(column, column.part_at(inside, read[name]))
            if box not in wrong and not (column.read_as_one and name in {told.partition("-")[0] for told in wrong}):
                self.add_error(box, said_at_box(one, self.units))
        return values

    def _parts_of(self, column: Column) -> dict[str, Any]:
        """Return the figures in the boxes of a column; what cannot be read is told at its box."""
        before = column.split(getattr(self.row, column.name))
        found: dict[str, Any] = {}
        for line in self.lines[column.name]:
            for part in line.parts:
                box, name = column.box_of(part), box_name(column, part)
                text = self.cleaned_data.get(name) or ""
                if part in before and text == self.stored.get(name):
                    found[part] = before[part]
                elif text.strip():
                    try:
                        found[part] = box.read(text)
                    except NotUnderstood as wrong:
                        self.add_error(name, wrong.sentence)
        return found

    def _required(self, column: Column, value: Any, parts: Mapping[str, Any]) -> None:
        """Refuse an empty box that must not be, and a name that cannot be printed or is too long."""
        names = [box_name(column, part) for line in self.lines[column.name] for part in line.parts]
        if set(names) & set(self.errors):
            return
        if column.name == "name":
            self._name(value)
        elif value is None and not column.nullable:
            self.add_error(names[0], gettext(EMPTY))
        else:
            for part, sentence in column.gaps(parts):
                self.add_error(box_name(column, part), sentence)

    def _name(self, value: Any) -> None:
        if not value:
            self.add_error("name", gettext("Write a name, as the school calls it."))
        elif len(value) > LONGEST_NAME:
            sentence = gettext("That name has %(length)d letters, and %(most)d are the most. Make it shorter.")
            self.add_error("name", sentence % {"length": len(value), "most": LONGEST_NAME})
        elif self._is_taken(value):
            sentence = gettext("Another one is called “%(name)s” already. Give this one a name of its own.")
            self.add_error("name", sentence % {"name": value})
        else:
            try:
                check_text(value, "name")
            except Refused as refused:
                self.add_error("name", said_at_box(refused, self.units))

    def _is_taken(self, name: str) -> bool:
        """Whether another row that is worked with has that name: on papers nobody could tell the two apart."""
        others = type(self.row)._default_manager.filter(school=self.row.school, offered=True).exclude(pk=self.row.pk)
        called = {one.casefold() for one in others.values_list("name", flat=True)}
        return self.row.offered and name.casefold() in called

    @property
    def changes_anything(self) -> bool:
        """Whether a column differs from what is stored; the form must be valid."""
        return any(getattr(self.row, name) != value for name, value in self.entry().items())

    def entry(self) -> dict[str, Any]:
        """Return the columns as they were understood; the form must be valid."""
        return {column.name: self.cleaned_data[column.name] for column in self.columns}

    def readable(self, name: str) -> Any:
        """Return what stands in the boxes of a column as far as it can be read; nothing is told of the rest."""
        column = next(column for column in self.columns if column.name == name)
        parts: dict[str, Any] = {}
        for part, text in texts_in(self.typed, column).items():
            if text.strip() and part in {part for line in self.lines[name] for part in line.parts}:
                with suppress(NotUnderstood):
                    parts[part] = column.box_of(part).read(text)
        return column.join(parts)

    def shown(self) -> Iterator[ShownColumn]:
        """Yield the columns in the order of the page."""
        for column in self.columns:
            yield ShownColumn(
                column,
                [(line.called, [self._shown(column, part) for part in line.parts]) for line in self.lines[column.name]],
            )

    def _shown(self, column: Column, part: str) -> ShownBox:
        return ShownBox(self[box_name(column, part)], str(column.box_of(part).after))

    def seen(self) -> str:
        """Return what is stored as the page carries it, to be held against what somebody else saves meanwhile."""
        return seen_as({name: [text] for name, text in self.stored.items()})


def box_name(column: Column, part: str) -> str:
    """Return the name of a box: that of its column, and its part if the column has several."""
    return f"{column.name}-{part}" if part else column.name


def texts_in(typed: Typed, column: Column) -> dict[str, str]:
    """Return the texts of a column's boxes, by part."""
    own = {"": typed[column.name]} if column.name in typed else {}
    start = f"{column.name}-"
    return own | {name.removeprefix(start): text for name, text in typed.items() if name.startswith(start)}


def stored_texts(row: ShelfRow, columns: Sequence[Column]) -> dict[str, str]:
    """Return what stands in each box for what a row has stored."""
    return {
        box_name(column, part): text
        for column in columns
        for part, text in column.texts(getattr(row, column.name)).items()
    }
