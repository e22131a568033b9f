"""The cast: one student, a classmate, their teacher, and the teacher of another school."""

import gc
import os

import pytest
from django.db import connection
from django.db.backends.base.operations import BaseDatabaseOperations
from django.test import Client, RequestFactory
from django.test.utils import override_settings
from django.utils import translation
from hypothesis import settings

from casting.calc.grouping import group
from casting.calc.layout.tidy import tidy
from school.access import log_in_student
from school.join import ReturnCodeHasher
from tests.emptied import without_guards
from tests.factories import CourseFactory, PersonFactory, SchoolFactory, StudentFactory

MOST_WORKERS = 4
OFTEN_ENOUGH = 50_000
"""New objects between two runs of the garbage collection."""

# The same examples every time, and no clock: a busy machine is no fault of the code.
settings.register_profile("house", derandomize=True, deadline=None)
settings.load_profile("house")


def pytest_xdist_auto_num_workers(config):
    """One for each processor; a file or a test asked for by name waits for none to start."""
    by_name = all(".py" in place for place in config.args)
    return 0 if by_name else min(os.cpu_count() or 1, MOST_WORKERS)


def pytest_collection_finish(session):
    """What is loaded now lives as long as the tests; to look through it for garbage again and again finds nothing."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(OFTEN_ENOUGH, 10, 10)


class QuickCodes(ReturnCodeHasher):
    work_factor = 16


@pytest.fixture(autouse=True, scope="session")
def _quick_passwords():
    """Hash passwords and codes quickly; how the site hashes them has its own test."""
    quick = ["django.contrib.auth.hashers.MD5PasswordHasher", "tests.conftest.QuickCodes"]
    with override_settings(PASSWORD_HASHERS=quick):
        yield


@pytest.fixture(autouse=True, scope="session")
def _tidied_once():
    """Tidy the same flasks once in a process: nothing but what stands in them decides, as the tests of `tidy` show."""
    kept = {}

    def tidied(flasks, *, longer=True):
        asked = (*flasks, longer)
        if asked not in kept:
            kept[asked] = tidy(flasks, longer=longer)
        return list(kept[asked])

    with pytest.MonkeyPatch.context() as here:
        here.setattr(group, "tidy", tidied)
        yield


@pytest.fixture(autouse=True, scope="session")
def _emptied_by_tests():
    """After a test that commits the database is emptied, the metal account with it."""
    empty = BaseDatabaseOperations.execute_sql_flush

    def emptied(operations, statements):
        with without_guards():
            empty(operations, statements)

    with pytest.MonkeyPatch.context() as here:
        here.setattr(BaseDatabaseOperations, "execute_sql_flush", emptied)
        yield


@pytest.fixture(autouse=True)
def _numbered_from_one(request):
    """PostgreSQL goes on counting after a rollback, SQLite does not: as there, the same day has the same day file.

    A search of the same file is then found once in a process.
    """
    asks = "_django_db_helper" in request.fixturenames or request.node.get_closest_marker("django_db")
    if asks and connection.vendor == "postgresql":
        request.getfixturevalue("_django_db_helper")
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT setval(oid::regclass, 1, false) FROM pg_class "
                "WHERE relkind = 'S' AND (relname LIKE 'casting%' OR relname LIKE 'school%')"
            )


@pytest.fixture(autouse=True)
def _no_language_left():
    """A request answered in Spanish leaves its language in the thread; the next test starts without."""
    yield
    translation.deactivate()


@pytest.fixture
def school(db):
    return SchoolFactory()


@pytest.fixture
def course(school):
    return CourseFactory(school=school)


@pytest.fixture
def teacher(school):
    return PersonFactory(school=school)


@pytest.fixture
def other_teacher(db):
    return PersonFactory(school__name="Saltmarsh Metal Hall", name="Odile Marchetti")


@pytest.fixture
def student(course):
    return StudentFactory(course=course, called="Sunniva Okoro")


@pytest.fixture
def classmate(course):
    return StudentFactory(course=course, called="Tobiah Renn")


def client_of_student(student):
    """Return a browser in which the student has joined."""
    client = Client()
    request = RequestFactory().get("/")
    request.session = client.session
    log_in_student(request, student)
    request.session.save()
    client.cookies["sessionid"] = request.session.session_key
    return client


def client_of_teacher(person):
    """Return a browser in which the teacher has signed in."""
    client = Client()
    client.force_login(person)
    return client


@pytest.fixture
def student_client(student):
    return client_of_student(student)


@pytest.fixture
def classmate_client(classmate):
    return client_of_student(classmate)


@pytest.fixture
def teacher_client(teacher):
    return client_of_teacher(teacher)


@pytest.fixture
def other_teacher_client(other_teacher):
    return client_of_teacher(other_teacher)


@pytest.fixture
def stranger_client(db):
    return Client()
