"""The take-away file of a school: what is in it, and what stays behind and why. `casting/TAKE_AWAY.md` is its format.

A row is an object of its columns. Its `id` counts the rows of its kind in this file, and a row names another by it:
no number of the database leaves, and the same rows at the same moment give the same bytes.
"""

from __future__ import annotations

import datetime as dt
import json
import re
import zipfile
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import IO, Any

from django.db import connection, models, transaction
from django.db.models.query import QuerySet

from casting import models as casting
from school import models as people
from school.models import School

FORMAT = "casting-school/1"
SCHOOL_FILE = "school.json"
PACKED = (1980, 1, 1, 0, 0, 0)
"""The date of every entry, the first that a ZIP can say: the file's own time stands inside."""
ROWS_AT_ONCE, LARGE_AT_ONCE = 500, 4


@dataclass(frozen=True, slots=True)
class Kind:
    """A list of rows in the file: its heading, its model, and the way from a row to its school."""

    heading: str
    model: type[models.Model]
    to_school: str


OF_SCHOOL, OF_DAY = "school", "day__course__school"
KINDS = (
    Kind("people", people.Person, OF_SCHOOL),
    Kind("classes", people.Course, OF_SCHOOL),
    Kind("students", people.Student, OF_SCHOOL),
    Kind("alloys", casting.Alloy, OF_SCHOOL),
    Kind("patterns", casting.PatternMaterial, OF_SCHOOL),
    Kind("investments", casting.Investment, OF_SCHOOL),
    Kind("flask_sizes", casting.FlaskSize, OF_SCHOOL),
    Kind("kilns", casting.Kiln, OF_SCHOOL),
    Kind("firings", casting.Firing, OF_SCHOOL),
    Kind("house_rules", casting.HouseRules, OF_SCHOOL),
    Kind("safety_record", casting.SafetyRecord, OF_SCHOOL),
    Kind("safety_changes", casting.SafetyChange, "record__school"),
    Kind("rubber_bases", casting.RubberBase, OF_SCHOOL),
    Kind("days", casting.CastingDay, "course__school"),
    Kind("day_changes", casting.DayChange, OF_DAY),
    Kind("waxes", casting.Wax, OF_DAY),
    Kind("wax_changes", casting.WaxChange, "wax__day__course__school"),
    Kind("wax_holds", casting.WaxHold, "wax__day__course__school"),
    Kind("wax_photos", casting.WaxPhoto, "wax__day__course__school"),
    Kind("plans", casting.Plan, OF_DAY),
    Kind("board_steps", casting.BoardStep, OF_DAY),
    Kind("flasks", casting.Flask, OF_DAY),
    Kind("steps_done", casting.StepRecord, OF_DAY),
    Kind("base_photos", casting.BasePhoto, "step__day__course__school"),
    Kind("piece_defects", casting.PieceDefect, "wax__day__course__school"),
    Kind("defect_photos", casting.DefectPhoto, "defect__wax__day__course__school"),
    Kind("flask_mishaps", casting.FlaskMishap, OF_DAY),
    Kind("recast_pieces", casting.Recast, "wax__day__course__school"),
    Kind("kiln_readings", casting.KilnReading, OF_DAY),
    Kind("bench_changes", casting.BenchChange, OF_DAY),
    Kind("cautions_cleared", casting.CautionCleared, OF_DAY),
    Kind("papers_printed", casting.PaperPrinted, OF_DAY),
    Kind("lots", casting.Lot, OF_SCHOOL),
    Kind("price_lists", casting.PriceList, OF_SCHOOL),
    Kind("accounts", casting.Account, OF_SCHOOL),
    Kind("account_entries", casting.AccountEntry, OF_SCHOOL),
    Kind("transfers", casting.Transfer, "entry__school"),
)
"""In this order a row names only rows before it, or one of its own kind."""

LETS_IN = "opens an account; each comes in by a new link, or with a new return code"
OF_THE_SITE = "belongs to the site and not to the school"
LEFT_OUT_MODELS: Mapping[str, str] = {
    "school.failedattempt": OF_THE_SITE,
    "school.demolink": LETS_IN,
    "school.invitation": LETS_IN,
    "school.schoolmark": "what this database knows a school by; one that is read in gets one",
    "school.studentchange": "undoes a removal within a day, by numbers of this database",
    "casting.schoolleaving": "of a school that is gone",
    "casting.search": "a child process of this machine and its folder; what it found is a plan",
    "sessions.session": LETS_IN,
    "admin.logentry": OF_THE_SITE,
    "auth.group": OF_THE_SITE,
    "auth.permission": OF_THE_SITE,
    "auth.group_permissions": OF_THE_SITE,
    "school.person_groups": OF_THE_SITE,
    "school.person_user_permissions": OF_THE_SITE,
    "contenttypes.contenttype": OF_THE_SITE,
}
"""Models whose rows stay behind, and why."""

LEFT_OUT_COLUMNS: Mapping[str, str] = {
    "school.school.slug": "made anew from the name",
    "school.school.is_demo": "opens the demo's links on this machine",
    "school.person.sign_in": "unique across schools; chosen anew with the new link",
    "school.person.password": LETS_IN,
    "school.person.last_login": OF_THE_SITE,
    "school.person.is_staff": OF_THE_SITE,
    "school.person.is_superuser": OF_THE_SITE,
    "school.person.groups": OF_THE_SITE,
    "school.person.user_permissions": OF_THE_SITE,
    "school.student.return_hash": LETS_IN,
    "school.student.old_hash": LETS_IN,
    "school.student.old_hash_until": LETS_IN,
    "school.student.join_key": LETS_IN,
    "school.student.left_at": "belongs to a phone of this site",
    "casting.waxphoto.jpeg": "stands beside, in a file of its own",
    "casting.waxphoto.small": "drawn anew from the photo",
    "casting.basephoto.jpeg": "stands beside, in a file of its own",
    "casting.basephoto.small": "drawn anew from the photo",
    "casting.defectphoto.jpeg": "stands beside, in a file of its own",
    "casting.defectphoto.small": "drawn anew from the photo",
    "casting.plan.day_file": "stands beside, in a file of its own",
    "casting.plan.plan_file": "stands beside, in a file of its own",
}
"""Columns of the file's models that are not in their rows, and why."""

STUDENT = re.compile(r'("(?:student|owner)"\s*:\s*)"student-(\d+)"')
"""Where a day file or plan file names a student; a quotation mark inside a text is escaped, so no text is mistaken."""

Column = Any
"""A column of a model, as Django describes it."""
Columns = tuple[Column, ...]
Ids = dict[str, dict[int, int]]
"""By heading: the numbers of rows here to those there."""


def columns_of(model: type[models.Model]) -> Columns:
    """Return the columns of a model that are in the file; the school itself is in every row's place."""
    own = [*model._meta.concrete_fields, *model._meta.many_to_many]
    return tuple(
        one
        for one in own
        if not one.primary_key
        and one.related_model is not School
        and f"{model._meta.label_lower}.{one.name}" not in LEFT_OUT_COLUMNS
    )


def heading_of(model: object) -> str:
    """Return the heading under which rows of a model stand."""
    return next(kind.heading for kind in KINDS if kind.model is model)


def plan_names(number: int) -> dict[str, str]:
    """Return the names of a plan's two files in the ZIP, by the column that holds each."""
    return {"day_file": f"plans/{number}.day.json", "plan_file": f"plans/{number}.plan.json"}


PHOTOS = {"wax_photos": "photos", "base_photos": "bases", "defect_photos": "defects"}
"""The lists of photos, each with the folder of their files."""


def photo_name(heading: str, number: int) -> str:
    """Return the name of the file of a list's photo in the ZIP."""
    return f"{PHOTOS[heading]}/{number}.jpg"


def with_students(text: str, word: Callable[[int], str]) -> str:
    """Return a day file or plan file with its students named otherwise, byte by byte the same elsewhere."""
    return STUDENT.sub(lambda found: f'{found[1]}"{word(int(found[2]))}"', text)


def pack(school: School, out: IO[bytes], at: dt.datetime) -> None:
    """Write the take-away file of a school as it is now; `at` is the time that it says."""
    with transaction.atomic():
        if connection.vendor == "postgresql" and len(connection.atomic_blocks) == 1:
            with connection.cursor() as cursor:  # one moment for all lists; SQLite reads so anyway
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
            _Packer(school, archive).write(at)


@dataclass(frozen=True)
class _Packer:
    """Writes a school row by row: in memory are a few rows, and the numbers of all."""

    school: School
    archive: zipfile.ZipFile
    ids: Ids = field(default_factory=dict)

    def write(self, at: dt.datetime) -> None:
        school = School.objects.get(pk=self.school.pk)
        with self.archive.open(_entry(SCHOOL_FILE), "w", force_zip64=True) as out:
            head = {"format": FORMAT, "taken_at": _utc(at), "school": self._row(school, columns_of(School))}
            out.write(_json(head)[:-1].encode())
            for kind in KINDS:
                out.write(f',\n"{kind.heading}": ['.encode())
                for number, row in enumerate(self._rows(kind), start=1):
                    out.write(f"{',' if number > 1 else ''}\n{_json(row)}".encode())
                out.write(b"]")
            out.write(b"}\n")
        self._write_photos()
        self._write_plans()

    def _rows(self, kind: Kind) -> Iterator[dict[str, Any]]:
        columns = columns_of(kind.model)
        numbers = self.ids.setdefault(kind.heading, {})
        rows = _of(kind, self.school)
        numbers |= {pk: number for number, pk in enumerate(rows.values_list("pk", flat=True).iterator(), start=1)}
        some = [one.name for one in columns if one.many_to_many]
        names = [name for name in LEFT_OUT_COLUMNS if name.startswith(f"{kind.model._meta.label_lower}.")]
        apart = {name.rpartition(".")[2] for name in names} & {one.name for one in kind.model._meta.concrete_fields}
        for row in rows.defer(*apart).prefetch_related(*some).iterator(chunk_size=ROWS_AT_ONCE):
            yield {"id": numbers[row.pk]} | self._row(row, columns)

    def _row(self, row: models.Model, columns: Columns) -> dict[str, Any]:
        return {one.name: self._value(row, one) for one in columns}

    def _value(self, row: models.Model, column: Column) -> Any:
        if column.many_to_many:
            numbers = self.ids[heading_of(column.related_model)]
            return sorted(numbers[one.pk] for one in getattr(row, column.name).all())
        value = getattr(row, column.attname)
        if column.related_model is None:
            return _plain(value)
        numbers = self.ids[heading_of(column.related_model)]
        return numbers.get(value) if column.null else numbers[value]  # the site's keeper is of no school

    def _write_photos(self) -> None:
        for heading in PHOTOS:
            numbers, photos = self.ids[heading], _of(_kind(heading), self.school).values_list("pk", "jpeg")
            for pk, jpeg in photos.iterator(chunk_size=LARGE_AT_ONCE):
                self.archive.writestr(_entry(photo_name(heading, numbers[pk])), bytes(jpeg))

    def _write_plans(self) -> None:
        numbers, students = self.ids["plans"], self.ids["students"]

        def word(pk: int) -> str:
            return f"student-{students[pk]}" if pk in students else f"gone-{pk}"

        plans = _of(_kind("plans"), self.school)
        for plan in plans.iterator(chunk_size=LARGE_AT_ONCE):
            for column, name in plan_names(numbers[plan.pk]).items():
                self.archive.writestr(_entry(name), with_students(getattr(plan, column), word).encode())


def _kind(heading: str) -> Kind:
    return next(kind for kind in KINDS if kind.heading == heading)


def _of(kind: Kind, school: School) -> QuerySet[Any]:
    """The rows of a school, in the order in which they were made."""
    return kind.model._default_manager.filter(**{kind.to_school: school}).order_by("pk")


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, PACKED)
    entry.compress_type, entry.create_system, entry.external_attr = zipfile.ZIP_DEFLATED, 3, 0o644 << 16
    return entry


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _utc(at: dt.datetime) -> str:
    return at.astimezone(dt.UTC).isoformat()


def _plain(value: Any) -> Any:
    """A value as JSON has it: a moment in UTC, a weighed figure and a key as text."""
    if isinstance(value, dt.datetime):
        return _utc(value)
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    return value if value is None or isinstance(value, bool | int | float | str | dict | list) else str(value)
