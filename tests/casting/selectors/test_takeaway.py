"""What a take-away file holds: every model of the site is in it or is left out for a reason that is written down."""

import io
import json
import zipfile

import pytest
from django.apps import apps

from casting.models import Alloy
from casting.selectors.takeaway import (
    KINDS,
    LEFT_OUT_COLUMNS,
    LEFT_OUT_MODELS,
    SCHOOL_FILE,
    columns_of,
    heading_of,
    pack,
    with_students,
)
from school.models import Course, Person, School, Student
from tests.casting.planned import make_plan
from tests.casting.services.test_takeaway import AT
from tests.casting_factories import DayFactory, handed_in
from tests.factories import PASSWORD, PersonFactory, SchoolFactory

LEAVES = {
    School: "name town zone elevation_m weight_unit temperature_unit length_unit paper currency opens closes on_call"
    " created version changed_by changed_at set_up_steps set_up_ended_at",
    Person: "name spelled role language is_active created",
    Course: "name code open_until is_rehearsal created",
    Student: "course called spelled joined_at removed_at forgotten_at merged_into created",
}
"""What of people may leave. Think before you add a column here: it goes to whoever has the file."""


def in_the_file():
    """The models of the file, and the tables that Django makes for their lists."""
    models = {kind.model for kind in KINDS}
    own = {one.remote_field.through for model in models for one in columns_of(model) if one.many_to_many}
    return {School} | models | own


def test_every_model_is_in_the_file_or_left_out_for_a_reason():
    there = {model._meta.label_lower for model in in_the_file()}
    every = {model._meta.label_lower for model in apps.get_models(include_auto_created=True)}
    assert every - there - set(LEFT_OUT_MODELS) == set(), "a new model: put it among KINDS, or say why it stays behind"
    assert not there & set(LEFT_OUT_MODELS) and set(LEFT_OUT_MODELS) <= every and all(LEFT_OUT_MODELS.values())


def test_every_column_left_out_is_one_and_has_its_reason():
    columns = {
        f"{model._meta.label_lower}.{one.name}"
        for model in in_the_file()
        for one in [*model._meta.concrete_fields, *model._meta.many_to_many]
    }
    assert set(LEFT_OUT_COLUMNS) <= columns and all(LEFT_OUT_COLUMNS.values())


@pytest.mark.parametrize("model", LEAVES)
def test_nothing_more_of_people_leaves(model):
    assert {one.name for one in columns_of(model)} == set(LEAVES[model].split())


def test_a_row_names_only_kinds_before_it_or_its_own():
    done = set()
    for kind in KINDS:
        done.add(kind.model)
        assert {one.related_model for one in columns_of(kind.model) if one.related_model} <= done
        assert heading_of(kind.model) == kind.heading


def packed(school):
    out = io.BytesIO()
    pack(school, out, AT)
    return zipfile.ZipFile(out)


@pytest.fixture
def neighbour(db):
    """A school whose rows would be found in the file of another."""
    school = SchoolFactory(name="Saltmarsh Metal Hall")
    teacher = PersonFactory(school=school, name="Odile Marchetti")
    day = DayFactory(course__school=school, course__name="Saltmarsh evening")
    handed_in(day, what="saltmarsh brooch")
    make_plan(day, teacher)
    return school


def test_nothing_of_another_school_and_no_secret_is_in_it(neighbour, day, student, teacher):
    handed_in(day, student)
    make_plan(day, teacher)
    archive = packed(teacher.school)
    every = "".join(archive.read(name).decode() for name in archive.namelist())
    for word in ("altmarsh", "Odile", PASSWORD, teacher.password, student.return_hash, teacher.sign_in):
        assert word not in every
    assert "Sunniva Okoro" in every and "plain band" in every, "and the walk above would find it"
    values = json.loads(archive.read(SCHOOL_FILE))
    assert (values["format"], values["taken_at"]) == ("casting-school/1", "2027-03-10T19:05:00+00:00")
    assert len(values["alloys"]) == Alloy.objects.filter(school=teacher.school).count()


def test_a_school_with_nothing_has_every_list(teacher):
    archive = packed(teacher.school)
    values = json.loads(archive.read(SCHOOL_FILE))
    assert [heading for heading in values if values[heading] == []] == [kind.heading for kind in KINDS[1:]]
    assert archive.namelist() == [SCHOOL_FILE]


def test_it_asks_as_often_for_many_waxes_as_for_few(day, student, teacher, django_assert_max_num_queries):
    for _nth in range(6):
        handed_in(day, student)
    # two for each list, one for the days' metals, the school, the photos of each kind, the plans, the transaction's own
    with django_assert_max_num_queries(2 * len(KINDS) + 8):
        packed(teacher.school)


@pytest.mark.django_db(transaction=True)
def test_it_is_read_in_a_transaction_of_its_own(day, student, teacher):
    """As on the site, where no test's transaction is round it: PostgreSQL is asked for one moment for all lists."""
    handed_in(day, student)
    assert len(json.loads(packed(teacher.school).read(SCHOOL_FILE))["waxes"]) == 1


def test_students_are_named_otherwise_only_where_students_are_named():
    text = r'{"student": "student-12", "owner":"student-3", "key": "student-12", "name": "\"student\": \"student-12\""}'
    changed = with_students(text, lambda number: f"student-{number + 100}")
    assert changed == text.replace('"student": "student-12"', '"student": "student-112"').replace(
        '"owner":"student-3"', '"owner":"student-103"'
    )
