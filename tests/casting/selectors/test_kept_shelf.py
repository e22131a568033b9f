"""A shelf is read once and kept; whoever changes it, and however, the next reader knows."""

from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from casting.models import Alloy, Firing, FlaskSize, HouseRules, Investment, Kiln, PatternMaterial, ShelfMark
from casting.selectors.kept_shelf import SCHOOLS_KEPT, KeptShelf, shelf_at, standing_waxes
from casting.services.shelf import change, move, put_away, take_out
from school.models import School
from tests.casting_factories import handed_in, stock
from tests.factories import SchoolFactory

MODELS = (Alloy, PatternMaterial, Investment, FlaskSize, Kiln, Firing, HouseRules)


@pytest.fixture(autouse=True)
def _kept(request):
    """The shelf of the cast's own school is read and kept already, but where a test commits."""
    if request.node.get_closest_marker("django_db") is None:
        shelf_at(request.getfixturevalue("day").course.school)


def queries(asked):
    """The number of queries that a call makes."""
    with CaptureQueriesContext(connection) as made:
        asked()
    return len(made)


def all_rows(shelf):
    return [shelf.rows(model, lambda _row: True) for model in MODELS]


def price(school):
    return next(row["price_per_g"] for row in shelf_at(school).rows(Alloy) if row["key"] == "sterling")


def test_what_has_not_changed_is_asked_for_by_its_mark_alone(school, student, day):
    handed_in(day, student)
    assert queries(lambda: shelf_at(school)) == 1
    assert all_rows(shelf_at(school)) == all_rows(KeptShelf(school.pk))


def test_waxes_have_the_rows_that_a_join_would_read_put_away_or_not(school, student, day):
    bronze = Alloy.objects.get(school=school, key="si-bronze")
    resin = PatternMaterial.objects.get(school=school, key="print-resin")
    handed_in(day, student, second_alloy=bronze, sprue_pattern=resin, sprue_g=Decimal("0.2"))
    handed_in(day, student)
    put_away(bronze)
    kept, joined = standing_waxes(day), list(day.waxes.standing())
    assert kept == joined and queries(lambda: standing_waxes(day)) == 2
    for name in ("alloy", "second_alloy", "pattern", "sprue_pattern", "student"):
        assert queries(lambda name=name: [getattr(wax, name) for wax in kept]) == 0
        assert [getattr(wax, name) for wax in kept] == [getattr(wax, name) for wax in joined]


@pytest.mark.parametrize("model", MODELS)
def test_a_change_of_any_list_is_known_though_no_service_made_it(model, school):
    before = shelf_at(school)
    row = model.objects.filter(school=school).first()
    model.objects.filter(pk=row.pk).update(place=90)
    moved = shelf_at(school)
    assert moved is not before and all_rows(moved) == all_rows(KeptShelf(school.pk))
    row.pk, row.key = None, "another"
    model.objects.bulk_create([row])
    more = shelf_at(school)
    assert len(more.rows(model, lambda _row: True)) == len(before.rows(model, lambda _row: True)) + 1
    model.objects.filter(school=school, key="another").delete()
    assert all_rows(shelf_at(school)) == all_rows(moved)


def test_each_service_that_writes_the_shelf_changes_its_mark(school, teacher):
    row = Alloy.objects.get(school=school, key="sterling")
    marks = [ShelfMark.objects.get(school=school).mark]
    for step in (
        lambda: change(row, {"price_per_g": 1.3}, row.version, teacher),
        lambda: move(row, earlier=False),
        lambda: put_away(row),
        lambda: take_out(row),
    ):
        step()
        marks.append(ShelfMark.objects.get(school=school).mark)
        assert all_rows(shelf_at(school)) == all_rows(KeptShelf(school.pk))
    assert len(set(marks)) == len(marks)


def test_a_statement_that_knows_nothing_of_the_program_is_known_too(school):
    with connection.cursor() as cursor:
        cursor.execute("UPDATE casting_alloy SET price_per_g = 7.5 WHERE key = 'sterling'")
    assert price(school) == 7.5


def test_a_change_that_is_tried_and_taken_back_leaves_nothing(school):
    was, sterling = price(school), Alloy.objects.filter(school=school, key="sterling")
    for tried in (7.5, 8.5):
        with transaction.atomic():
            sterling.update(price_per_g=tried)
            assert price(school) == tried
            transaction.set_rollback(True)
        assert price(school) == was


def test_a_shelf_of_which_a_row_was_deleted_is_read_each_time_until_it_changes(school):
    Kiln.objects.filter(school=school).first().delete()
    assert not ShelfMark.objects.filter(school=school).exists()
    assert queries(lambda: shelf_at(school)) == 1 + len(MODELS)
    Alloy.objects.filter(school=school, key="sterling").update(price_per_g=7.5)
    assert price(school) == 7.5
    assert queries(lambda: shelf_at(school)) == 1


def test_another_school_s_shelf_keeps_its_mark(school):
    other = SchoolFactory()
    stock(other)
    kept = shelf_at(other)
    Alloy.objects.filter(school=school).update(place=5)
    assert shelf_at(other) is kept and shelf_at(school) is not kept


def test_a_school_takes_the_mark_of_its_shelf_with_it(school):
    other = SchoolFactory()
    stock(other)
    other.delete()
    assert list(ShelfMark.objects.values_list("school_id", flat=True)) == [school.pk]


def test_what_a_reader_does_to_its_rows_stays_with_it(school):
    for row in shelf_at(school).rows(Alloy):
        row.clear()
    assert all_rows(shelf_at(school)) == all_rows(KeptShelf(school.pk))


def test_a_day_that_is_planned_and_read_leaves_the_shelf_as_it_was_kept(planned, teacher_client):
    school = planned.course.school
    for page in ("waxes", "flasks", "day_plan", "board", "papers"):
        assert teacher_client.get(reverse(page, args=[planned.pk])).status_code == 200
    assert queries(lambda: shelf_at(school)) == 1
    assert all_rows(shelf_at(school)) == all_rows(KeptShelf(school.pk))


@pytest.mark.django_db(transaction=True)
def test_what_another_connection_writes_is_known_once_it_is_there():
    school = SchoolFactory()
    stock(school)
    was = price(school)

    def written_elsewhere():
        try:
            Alloy.objects.filter(school=school, key="sterling").update(price_per_g=7.5)
        finally:
            connection.close()

    with ThreadPoolExecutor(max_workers=1) as elsewhere:
        elsewhere.submit(written_elsewhere).result()
    assert (was, price(school)) == (1.1, 7.5)


def test_a_site_of_many_schools_keeps_a_few_shelves(school):
    for nth in range(SCHOOLS_KEPT):
        other = School.objects.create(name=f"School {nth}", slug=f"s{nth}")
        HouseRules.objects.create(school=other, key="house", name="House rules")
        shelf_at(other)
    assert queries(lambda: shelf_at(school)) == 1 + len(MODELS)
