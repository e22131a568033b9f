"""Reads a school from a take-away file into this installation, as a new school: all of it or nothing."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django.contrib.auth.hashers import make_password
from django.core.exceptions import ValidationError
from django.db import DatabaseError, models, transaction

from casting.calc.values.errors import Refused
from casting.dayfile.validation import Reader, read_fields
from casting.models import Plan
from casting.models.photo import Photo
from casting.selectors.takeaway import KINDS, Column, Columns, Kind, columns_of, heading_of, with_students
from casting.services.takeaway_columns import reader_of, row_named, rows_named
from casting.services.takeaway_file import SchoolFile, numbered
from school.founding import free_slug
from school.join import CLASS_CODE_LENGTH, random_code
from school.models import Course, Person, School, Student
from school.team import invite_back


@dataclass(frozen=True, slots=True)
class ReadIn:
    """A school that was read in: classes with another code, and who comes in by which token."""

    school: School
    recoded: list[tuple[Course, str]]
    invited: list[tuple[Person, str]]


def read_school(path: Path) -> ReadIn:
    """Read the school of a file in. Raises `Refused` at the first thing that is wrong, and then writes nothing."""
    file = SchoolFile.open(path)
    with file.archive, transaction.atomic():
        return _Reader(file).read()


@dataclass
class _Reader:
    """Writes the rows of a file in its order, and keeps which number of the file became which row here."""

    file: SchoolFile
    ids: dict[str, dict[int, int]] = field(default_factory=dict)
    recoded: list[tuple[Course, str]] = field(default_factory=list)
    may_sign_in: list[Person] = field(default_factory=list)

    def read(self) -> ReadIn:
        values = self._columns(columns_of(School), self.file.school, "school")
        self.school = School(**values, slug=free_slug(str(values["name"])))
        self._store(self.school, "school")
        for kind in KINDS:
            self._read_kind(kind)
        invited = [(person, invite_back(person)) for person in self.may_sign_in]
        return ReadIn(self.school, self.recoded, invited)

    def _read_kind(self, kind: Kind) -> None:
        columns = columns_of(kind.model)
        own = [one for one in columns if one.related_model is kind.model]
        listed = [one for one in columns if one.many_to_many]
        numbers: dict[int, int] = {}
        rows = numbered(self.file.rows[kind.heading], kind.heading)
        within = {nth: nth for nth in range(1, len(rows) + 1)}
        for number, given in within.items():
            place = f"{kind.heading}[{number - 1}]"
            values = self._columns(columns, rows[number - 1], place, within)
            later = {one: values.pop(one.name) for one in listed}
            # A row that stands before is named at once: rows of the account are never changed.
            values |= {one.name: numbers.get(values[one.name]) for one in own}
            row = kind.model(**{one.attname: values[one.name] for one in columns if one.name in values})
            self._write(row, given, place)
            numbers[number] = row.pk
            for one in listed:
                getattr(row, one.name).set(later[one])
        self.ids[kind.heading] = numbers
        self._link(kind, own, rows)

    def _link(self, kind: Kind, own: Sequence[Column], rows: Sequence[Mapping[str, Any]]) -> None:
        """Let rows name rows of their own kind that come after them."""
        numbers = self.ids[kind.heading]
        for number, row in enumerate(rows, start=1):
            if named := {one.attname: numbers[row[one.name]] for one in own if (row[one.name] or 0) > number}:
                kind.model._default_manager.filter(pk=numbers[number]).update(**named)

    def _columns(
        self, columns: Columns, row: Mapping[str, Any], place: str, within: Mapping[int, int] | None = None
    ) -> dict[str, Any]:
        """The values of a row; each column is there and no other, `within` are the numbers of its own kind."""
        readers: dict[str, Reader[Any]] = {one.name: self._reader(one, within or {}) for one in columns}
        return read_fields({name: row[name] for name in row if name != "id"}, place, readers)

    def _reader(self, column: Column, within: Mapping[int, int]) -> Reader[Any]:
        if column.related_model is None:
            return reader_of(column)
        numbers = self.ids.get(heading_of(column.related_model), within)
        return rows_named(numbers) if column.many_to_many else row_named(numbers, null=column.null)

    def _write(self, row: models.Model, number: int, place: str) -> None:
        self._check(row, place)
        if isinstance(row, Plan):
            for column, text in self.file.plan_texts(number).items():
                setattr(row, column, with_students(text, self._student))
        if isinstance(row, Photo):
            photo = self.file.photo(heading_of(type(row)), number)
            row.jpeg, row.small = photo.jpeg, photo.small
        self._make_of_here(row)
        self._store(row, place)

    def _student(self, number: int) -> str:
        """What a day file calls a student of the file here."""
        students = self.ids["students"]
        if number not in students:
            raise Refused("plans", f"student-{number} stands in a plan, but the file has no such student; mend it.")
        return f"student-{students[number]}"

    def _check(self, row: models.Model, place: str) -> None:
        """Refuse a row that its own form would: by itself, as its school has no other row yet."""
        try:
            row.clean()
        except ValidationError as error:
            column, sentences = next(iter(getattr(error, "message_dict", {"": error.messages}).items()))
            raise Refused(f"{place}.{column}" if column else place, f"{sentences[0]}") from None

    def _make_of_here(self, row: models.Model) -> None:
        """Give a row its school, and what the file leaves out; nobody comes in by what opened the other site."""
        if any(one.name == "school" for one in row._meta.fields):
            setattr(row, "school", self.school)  # noqa: B010
        if isinstance(row, Person):
            row.sign_in, row.password = f"not-yet-{uuid.uuid4()}", make_password(None)
            if row.is_active:
                self.may_sign_in.append(row)
            row.is_active = False
        elif isinstance(row, Student):
            row.return_hash = make_password(None)
        elif isinstance(row, Course) and Course.objects.filter(code=row.code).exists():
            before = row.code
            while Course.objects.filter(code=row.code).exists():
                row.code = random_code(CLASS_CODE_LENGTH)
            self.recoded.append((row, before))

    def _store(self, row: models.Model, place: str) -> None:
        """Write a row as it stands, its moments too, which a new row would otherwise have from the clock."""
        try:
            with transaction.atomic():
                row.save_base(raw=True, force_insert=True)
        except DatabaseError as error:
            said = str(error).splitlines()[0]
            raise Refused(place, f"this row breaks a rule of the database ({said}); mend it or take it out.") from None
