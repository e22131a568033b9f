"""Base model of the shelf: what a school works with, each row checked by the reader of the day file."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Collection, Mapping
from dataclasses import fields
from typing import Any, ClassVar, Self

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils.text import slugify
from django.utils.translation import gettext_lazy as _

from casting.calc.values.enums import Status
from casting.calc.values.errors import Refused
from casting.dayfile.validation import Reader, check_object, check_text, choice, read_fields, refusals_of
from school.models import Person, School

ORIGIN: Mapping[str, Reader[object]] = {"source": check_text, "status": choice(tuple(Status))}

TYPED = "typed by the school"
"""How the source of a figure begins that the school has changed; the date follows."""

OWN_DAYS = f"{TYPED}, its own days"
"""How the source of a figure begins that was taken from past days; how many follows, then who and the date."""

NO_COLUMNS = {"key", "gravity_of_parts", "melt_j_per_g", "from_memory"}
"""Fields of a thing of the day that its row has in another way, or that are computed."""


def columns_of(thing: type) -> tuple[str, ...]:
    """Return the fields of a dataclass of the day that are columns of its model."""
    return tuple(field.name for field in fields(thing) if field.name not in NO_COLUMNS)


def check_sources(value: object) -> None:
    """Refuse sources that are not an object of figures, each with its source and status."""
    try:
        for figure, origin in check_object(value, "").items():
            read_fields(origin, figure or "row", ORIGIN)
    except Refused as refused:
        raise ValidationError([str(one) for one in refusals_of(refused)]) from None


class ShelfQuerySet(models.QuerySet[Any]):
    """Queries for rows of a school's shelf."""

    def of(self, person: Person) -> Self:
        """Return the rows of the person's school."""
        return self.filter(school_id=person.school_id)

    def at(self, school: School) -> Self:
        """Return the rows that the school works with, in its own order."""
        return self.filter(school=school, offered=True)


class ShelfRow(models.Model):
    """One thing on the shelf, with the sources of its figures.

    `figures` names the columns that a day file takes over; `sources` gives the source and the
    status of each. `reader` is the day file's own, from such an object and its place.
    """

    figures: ClassVar[tuple[str, ...]] = ()
    reader: ClassVar[Callable[[Any, str], object]]

    school = models.ForeignKey(School, on_delete=models.CASCADE, related_name="+")
    key = models.SlugField(_("key"), max_length=40)
    name = models.CharField(_("name"), max_length=80)
    offered = models.BooleanField(_("worked with"), default=True)
    place = models.PositiveSmallIntegerField(_("place in the list"), default=0)
    sources = models.JSONField(
        _("sources"),
        default=dict,
        blank=True,
        validators=[check_sources],
        help_text=_('Where each figure is from: {"pour_c": {"source": "the maker\'s sheet", "status": "published"}}.'),
    )

    version = models.PositiveIntegerField(_("version"), default=1, editable=False)

    objects = ShelfQuerySet.as_manager()

    class Meta:
        abstract = True
        ordering = ("place", "key")

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        """Refuse what a day file refuses, each mistake at its column."""
        super().clean()
        told: dict[str, list[str]] = defaultdict(list)
        for one in self.refusals():
            column, inside = self.column_of(one.place)
            told[column].append(f"{inside}: {one.sentence}" if inside else _capital(one.sentence))
        wrong = {column: sentences for column, sentences in told.items() if not self._is_blank(column)}
        if wrong:
            raise ValidationError(wrong)

    def column_of(self, place: str) -> tuple[str, str]:
        """Return the column that a place in the row lies in, and the place within it."""
        return column_and_inside(place)

    def refusals(self) -> list[Refused]:
        """Return all that a day file's reader refuses of the row."""
        try:
            self.read()
        except Refused as refused:
            return refusals_of(refused)
        return []

    def _is_blank(self, column: str) -> bool:
        """Tell whether a required column is empty, which Django's own validation reports."""
        field = next(field for field in self._meta.fields if field.name == column)
        return not field.blank and getattr(self, column) in field.empty_values

    def read(self) -> object:
        """Return the row as the day file's reader reads it; `Refused` if the reader refuses it."""
        return type(self).reader(self._given(), "")

    def to_day(self) -> dict[str, Any]:
        """Return the row as an object of a day file, without what is not recorded."""
        given = self._given()
        return given | told_from_memory(self.sources, given)

    def _given(self) -> dict[str, Any]:
        """The figures that are recorded."""
        return {"key": self.key} | {
            figure: getattr(self, figure) for figure in self.figures if getattr(self, figure) is not None
        }


def told_from_memory(sources: Mapping[str, Any], figures: Collection[str]) -> dict[str, list[str]]:
    """Return the figures whose source is memory as a day file names them; nothing if there are none."""
    remembered = sorted(name for name, origin in sources.items() if origin["status"] == Status.MEMORY)
    named = [name for name in remembered if name.partition(".")[0] in figures]
    if "" in remembered:
        own = {name.partition(".")[0] for name in sources}
        named += [figure for figure in figures if figure not in own | {"key"}]
    return {"from_memory": sorted(named)} if named else {}


def column_and_inside(place: str) -> tuple[str, str]:
    """Return the column that a place in a row begins with, and the place within it: `flask_c` and `thin[0]`."""
    column = re.split(r"[.\[]", place, maxsplit=1)[0]
    return column, place[len(column) :].lstrip(".")


KEY_LONGEST = 36
"""Letters of a key that is made of a name; a number may follow."""


def key_from(name: str) -> str:
    """Return a key for a row that is called so."""
    return slugify(name)[:KEY_LONGEST].strip("-") or "own"


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]


def one_key_per_school(name: str) -> list[models.BaseConstraint]:
    """Return the constraint that a key is unique within a school."""
    return [models.UniqueConstraint(fields=("school", "key"), name=f"{name}_key_once_per_school")]


def over_zero(name: str, *columns: str) -> list[models.BaseConstraint]:
    """Return a constraint for each column: more than 0 (or null, where it may be)."""
    return [
        models.CheckConstraint(condition=Q((f"{column}__gt", 0)), name=f"{name}_{column}_over_0") for column in columns
    ]


def not_negative(name: str, *columns: str) -> list[models.BaseConstraint]:
    """Return a constraint for each column: at least 0 (or null, where it may be)."""
    return [
        models.CheckConstraint(condition=Q((f"{column}__gte", 0)), name=f"{name}_{column}_not_negative")
        for column in columns
    ]
