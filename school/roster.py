"""A class's roster, typed, pasted or from a CSV file: read row by row, shown, and only then written, all of it."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from django.contrib.auth.hashers import make_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from school.models import Course, Student
from school.names import are_near, name_key, tidy_name, unprinted_letters

MOST_ROWS = 200
MOST_BYTES = 100_000
NAME_HEADS = {"name", "student", "student name", "full name", "nombre", "nombre completo", "estudiante", "alumno"}
FIRST_HEADS = {"first name", "first", "given name", "nombre"}
LAST_HEADS = {"last name", "last", "surname", "family name", "apellido", "apellidos"}
MARKS = ((b"\xef\xbb\xbf", "utf-8-sig", "UTF-8"), (b"\xff\xfe", "utf-16", "UTF-16"), (b"\xfe\xff", "utf-16", "UTF-16"))
"""How a file begins that says itself how its letters are written."""


class Unreadable(Exception):
    """A file or list that no roster can be read from; the sentence says what to do."""

    @property
    def sentence(self) -> str:
        """What is wrong, and what to do."""
        return str(self.args[0])


class State(StrEnum):
    """What becomes of a row."""

    NEW = "new"
    THERE = "there"
    WRONG = "wrong"


@dataclass(frozen=True, slots=True)
class Row:
    """A row as it stands in the list, the name read from it, what becomes of it, and what there is to say."""

    number: int
    name: str
    state: State
    remark: str = ""


def decoded(data: bytes) -> tuple[str, str]:
    """Return the text of a file, and how its letters are written. Raises `Unreadable`."""
    if len(data) > MOST_BYTES:
        raise Unreadable(_("The file is larger than 100 kB. Keep the column with the names and leave the rest out."))
    marked = any(data.startswith(mark) for mark, *_rest in MARKS)
    if data.startswith(b"PK") or (b"\0" in data and not marked):
        raise Unreadable(_("This is no text. Save the list as a CSV file (UTF-8), or paste the names."))
    for mark, encoding, word in MARKS:
        if data.startswith(mark):
            return _decode(data, encoding), word
    try:
        return data.decode("utf-8"), "UTF-8"
    except UnicodeDecodeError:
        return _decode(data, "cp1252"), "Windows-1252"


def _decode(data: bytes, encoding: str) -> str:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        sentence = _("The letters of this file cannot be read. Save it as a CSV file (UTF-8), or paste the names.")
        raise Unreadable(sentence) from error


def names_in(text: str, from_file: bool = False) -> list[tuple[int, str]]:
    """Return number and name of each row that is not empty. Raises `Unreadable`.

    In what is typed or pasted a line is a name, up to a tab. A file has columns: those whose heads say so, else the
    first.
    """
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    separator = _separator(lines) if from_file else "\t"
    try:
        rows = list(csv.reader(io.StringIO(lines), delimiter=separator, quoting=csv.QUOTE_MINIMAL if from_file else 3))
    except csv.Error as error:
        raise Unreadable(_("This is no list. Write one name a line, or save it as a CSV file (UTF-8).")) from error
    stripped = [(number, [cell.strip() for cell in row]) for number, row in enumerate(rows, start=1)]
    numbered = [(number, row) for number, row in stripped if any(row)]
    columns, has_head = _columns(numbered[0][1]) if numbered else ([0], False)
    named = [
        (number, " ".join(" ".join(row[column] for column in columns if column < len(row)).split()))
        for number, row in numbered[has_head:]
    ]
    if len(named) > MOST_ROWS:
        sentence = _("The list has %(rows)s rows. At most %(most)s are read at a time: divide it.")
        raise Unreadable(sentence % {"rows": len(named), "most": MOST_ROWS})
    if not named:
        raise Unreadable(_("The list has no names. Write one name a line."))
    return named


def _separator(lines: str) -> str:
    first = next((line for line in lines.split("\n") if line.strip()), "")
    return max("\t;,", key=lambda sign: (first.count(sign), sign == ","))


def _columns(head: Sequence[str]) -> tuple[list[int], bool]:
    """Return the columns of the name, and whether the first row is a head."""
    words = [cell.casefold().strip(" .:") for cell in head]
    first, last = ([nth for nth, word in enumerate(words) if word in heads] for heads in (FIRST_HEADS, LAST_HEADS))
    whole = [nth for nth, word in enumerate(words) if word in NAME_HEADS]
    if first and last:
        return [first[0], last[0]], True
    return (whole[:1], True) if whole else ([0], False)


def looked_at(course: Course, named: Sequence[tuple[int, str]]) -> list[Row]:
    """Return what becomes of each row: a new name, one that is in the class, or one that must be put right."""
    here = {name_key(one.called): one.called for one in Student.objects.here().filter(course=course)}
    seen: dict[str, int] = {}
    rows = []
    for number, typed in named:
        try:
            name = tidy_name(typed)
        except ValidationError as refusal:
            rows.append(Row(number, typed, State.WRONG, refusal.messages[0]))
            continue
        key = name_key(name)
        if key in seen:
            sentence = _("The same name as row %(row)s. Tell the two apart by a number or a letter, or leave one out.")
            rows.append(Row(number, name, State.WRONG, sentence % {"row": seen[key]}))
        elif key in here:
            rows.append(Row(number, name, State.THERE, _("is in the class already")))
        else:
            rows.append(Row(number, name, State.NEW, _remark(name, list(here.values()))))
        seen.setdefault(key, number)
    return rows


def _remark(name: str, here: Sequence[str]) -> str:
    near = next((one for one in here if are_near(one, name)), "")
    if near:
        return _("%(name)s is in the class already. The same person?") % {"name": near}
    missing = unprinted_letters(name)
    return _("our papers cannot print %(missing)s") % {"missing": missing} if missing else ""


@transaction.atomic
def add(course: Course, named: Sequence[tuple[int, str]]) -> list[Row]:
    """Put every new name on the roster of a class and return the rows; nothing at all if one of them is wrong."""
    Course.objects.select_for_update().get(pk=course.pk)
    rows = looked_at(course, named)
    if not any(row.state is State.WRONG for row in rows):
        Student.objects.bulk_create(
            Student(
                course=course, school=course.school, called=row.name, joined_at=None, return_hash=make_password(None)
            )
            for row in rows
            if row.state is State.NEW
        )
    return rows
