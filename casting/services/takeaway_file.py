"""Reads a take-away file strictly: what is too large, broken, missing or not known is refused in a sentence."""

from __future__ import annotations

import math
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Self

from casting.calc.values.errors import CastingError, Refused
from casting.dayfile.json_text import load
from casting.dayfile.reading import read
from casting.dayfile.validation import (
    Reader,
    check_list,
    check_object,
    check_text,
    read_each,
    read_fields,
    refusal,
    whole,
)
from casting.dayfile.writing import FORMAT as PLAN_FORMAT
from casting.presenters.plan_reader import read_plan
from casting.selectors.takeaway import FORMAT, KINDS, PHOTOS, SCHOOL_FILE, photo_name, plan_names
from casting.worker.photo import NotAPhoto, Photo, clean_apart

MEGABYTE = 1_000_000
MOST_PACKED, MOST_UNPACKED = 2000 * MEGABYTE, 4000 * MEGABYTE
MOST_SCHOOL, MOST_PLAN = 100 * MEGABYTE, 5 * MEGABYTE
"""Bytes. A plan of forty waxes is a tenth of a megabyte, and a school of a thousand waxes a few;
a photo is about a quarter of one."""
MOST_ROWS = 1_000_000
BROKEN = (zipfile.BadZipFile, zlib.error, RuntimeError, NotImplementedError, EOFError, OSError, ValueError)
"""What the library raises for a ZIP that is damaged, encrypted or packed in a way that it does not know."""


@dataclass(frozen=True, slots=True)
class SchoolFile:
    """A take-away file that is open: its rows by heading, unread as yet, and its archive for the plans."""

    school: Mapping[str, Any]
    rows: Mapping[str, list[Any]]
    archive: zipfile.ZipFile

    @classmethod
    def open(cls, path: Path) -> Self:
        """Open a file and look at all that can be seen before a row is read. Raises `Refused`."""
        try:
            size = path.stat().st_size
            archive = zipfile.ZipFile(path)
        except BROKEN as error:
            raise Refused(
                path.name, f"this is no ZIP that can be read ({error}); take the school away again."
            ) from None
        try:
            if size > MOST_PACKED:
                raise Refused(path.name, _larger(size, MOST_PACKED))
            sizes = _sizes(archive)
            values = _values(archive)
            named = {SCHOOL_FILE} | _beside(values)
            for name in sorted(named - sizes.keys()):
                raise Refused(name, "this file is missing; take the school away again.")
            for name in sorted(sizes.keys() - named):
                raise Refused(name, "this file does not belong to a school; take it out.")
        except Refused:
            archive.close()
            raise
        return cls(values["school"], {kind.heading: values[kind.heading] for kind in KINDS}, archive)

    def plan_texts(self, number: int) -> dict[str, str]:
        """Return the day file and the plan file of a plan by their columns. Raises `Refused` for what no page shows."""
        names = plan_names(number)
        texts = {column: _text(self.archive, name, MOST_PLAN) for column, name in names.items()}
        _check_plan(texts, names)
        return texts

    def photo(self, heading: str, number: int) -> Photo:
        """Return a photo of a list, the small one drawn from it. Raises `Refused` for what is not written here."""
        name = photo_name(heading, number)
        try:
            return clean_apart(_bytes(self.archive, name, MOST_PLAN), as_it_is=True)
        except NotAPhoto as refused:
            wrong = f"this is no photo as it is written here ({refused.why.value}); take the school away again."
            raise Refused(name, wrong) from None


def _beside(values: Mapping[str, Any]) -> set[str]:
    """The names of the files that stand beside `school.json`, by its rows of plans and photos."""
    numbers = {name: range(1, len(check_list(values[name], name)) + 1) for name in ("plans", *PHOTOS)}
    photos = {photo_name(heading, nth) for heading in PHOTOS for nth in numbers[heading]}
    return {name for nth in numbers["plans"] for name in plan_names(nth).values()} | photos


def _larger(size: int, most: int) -> str:
    return (
        f"this is {size / MEGABYTE:.0f} MB, but at most {most / MEGABYTE:.0f} MB are read; take the school away again."
    )


def _sizes(archive: zipfile.ZipFile) -> dict[str, int]:
    """The sizes of the files inside as the ZIP says them; a ZIP that says too much is refused unread."""
    sizes: dict[str, int] = {}
    for entry in archive.infolist():
        if entry.filename in sizes:
            raise Refused(entry.filename, "this file stands twice in the ZIP; take the school away again.")
        sizes[entry.filename] = entry.file_size
        most = MOST_SCHOOL if entry.filename == SCHOOL_FILE else MOST_PLAN
        if entry.file_size > most:
            raise Refused(entry.filename, _larger(entry.file_size, most))
    if (whole_size := sum(sizes.values())) > MOST_UNPACKED:
        raise Refused("file", _larger(whole_size, MOST_UNPACKED))
    if SCHOOL_FILE not in sizes:
        raise Refused(SCHOOL_FILE, "this file is missing; take the school away again.")
    return sizes


def _text(archive: zipfile.ZipFile, name: str, most: int) -> str:
    """The text of a file inside."""
    try:
        return _bytes(archive, name, most).decode()
    except UnicodeDecodeError as error:
        raise Refused(name, f"byte {error.start} is not UTF-8; take the school away again.") from None


def _bytes(archive: zipfile.ZipFile, name: str, most: int) -> bytes:
    """What is in a file inside; one that is longer than the ZIP says is not unpacked further."""
    try:
        with archive.open(name) as file:
            data = file.read(most + 1)
    except BROKEN as error:
        raise Refused(name, f"this file is damaged ({error}); take the school away again.") from None
    if len(data) > most:
        raise Refused(name, _larger(len(data), most))
    return data


def _values(archive: zipfile.ZipFile) -> dict[str, Any]:
    """The values of `school.json`: every heading is there and no other."""
    values = check_object(_json(_text(archive, SCHOOL_FILE, MOST_SCHOOL), SCHOOL_FILE), SCHOOL_FILE)
    if values.get("format") != FORMAT:
        wrong = f"this program reads {FORMAT}"
        raise refusal("format", values.get("format"), wrong, "read the file in with the version that wrote it")
    readers: dict[str, Reader[Any]] = {"format": check_text, "taken_at": check_text, "school": check_object}
    return read_fields(values, "", readers | {kind.heading: check_list for kind in KINDS})


def _json(text: str, name: str) -> object:
    """The values of a JSON text, without numbers and signs that a database cannot keep."""
    try:
        value = load(text)
    except Refused as refused:
        raise Refused(name, refused.sentence) from None
    todo = [value]
    while todo:
        one = todo.pop()
        if isinstance(one, float) and not math.isfinite(one):
            raise Refused(name, f"{one} stands in it, which is no number; take the school away again.")
        if isinstance(one, str) and any(sign == "\0" or "\ud800" <= sign <= "\udfff" for sign in one):
            raise Refused(name, "a text holds a sign that cannot be kept; take the school away again.")
        todo += [*one, *one.values()] if isinstance(one, dict) else one if isinstance(one, list) else []
    return value


def _check_plan(texts: Mapping[str, str], names: Mapping[str, str]) -> None:
    """Refuse a day file that no plan is made of, and a plan file that no page could show."""
    day_name, plan_name = names["day_file"], names["plan_file"]
    try:
        read(texts["day_file"])
    except Refused as refused:
        raise Refused(day_name, f"this is no day file: {refused}") from None
    plan = check_object(_json(texts["plan_file"], plan_name), plan_name)
    if plan.get("format") != PLAN_FORMAT:
        raise refusal(
            plan_name, plan.get("format"), f"a plan file begins with {PLAN_FORMAT}", "take the school away again"
        )
    try:
        read_plan(texts["plan_file"], texts["day_file"])
    except (CastingError, LookupError, TypeError, ValueError, AttributeError) as error:
        raise Refused(plan_name, f"this plan cannot be shown ({error!r}); take the school away again.") from None


def numbered(rows: list[Any], heading: str) -> list[dict[str, Any]]:
    """Return the rows of a heading as objects, whose ids count them from 1. Raises `Refused`."""
    objects = read_each((check_object, row, f"{heading}[{nth}]") for nth, row in enumerate(rows))
    for nth, row in enumerate(objects):
        if whole(least=1, most=MOST_ROWS)(row.get("id"), f"{heading}[{nth}].id") != nth + 1:
            raise refusal(f"{heading}[{nth}].id", row["id"], f"ids count the rows, so it must be {nth + 1}", "mend it")
    return objects
