"""A shelf is read once and kept; whoever changes it, and however, the next reader knows."""

from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from casting.calc.quantities.account.bill import Prices
from casting.models import Alloy, Firing, FlaskSize, HouseRules, Investment, Kiln, PatternMaterial, RubberBase
from casting.selectors.kept_shelf import SCHOOLS_KEPT, KeptShelf, metals_offered, shelf_at, standing_waxes
from casting.services.account.bills import keep_prices
from casting.services.rubber import keep_bases
from casting.services.shelf import change, move, put_away, take_out
from school.kept import class_at
from school.models import School, SchoolMark
from tests.casting_factories import DayFactory, handed_in, stock
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
    marks = [SchoolMark.objects.get(school=school).mark]
    for step in (
        lambda: change(row, {"price_per_g": 1.3}, row.version, teacher),
        lambda: move(row, earlier=False),
        lambda: put_away(row),
        lambda: take_out(row),
    ):
        step()
        marks.append(SchoolMark.objects.get(school=school).mark)
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


def test_a_row_that_is_deleted_is_known_and_the_shelf_kept_again(school):
    before = shelf_at(school)
    Kiln.objects.filter(school=school).first().delete()
    fewer = shelf_at(school)
    assert len(fewer.worked_with(Kiln)) == len(before.worked_with(Kiln)) - 1
    assert queries(lambda: shelf_at(school)) == 1


def test_rubber_bases_are_kept_until_they_are_others(school):
    assert not shelf_at(school).bases
    keep_bases(school, {"3": Decimal("4.1"), "4": Decimal("5.2")})
    assert [base.number for base in shelf_at(school).bases] == ["3", "4"]
    keep_bases(school, {"4": Decimal("5.3")})
    assert [(base.number, base.weight_g) for base in shelf_at(school).bases] == [("4", Decimal("5.3"))]
    assert RubberBase.objects.count() == 1


def test_prices_are_kept_until_there_are_others(school, teacher):
    assert shelf_at(school).prices is None
    for version, per_piece in enumerate((6, 7)):
        wanted = Prices({"sterling": Decimal("1.6")}, per_piece=Decimal(per_piece))
        keep_prices(school, wanted, by=teacher, version=version)
        assert shelf_at(school).prices == wanted and queries(lambda: shelf_at(school)) == 1


def test_the_metals_of_a_day_are_kept_until_it_offers_others(school, day):
    first, second, third = Alloy.objects.filter(school=school)[:3]
    for offered in ([first, second], [second, third], [third], [third, first]):
        day.alloys.set(offered)
        assert set(metals_offered(day)) == set(offered)
        assert list(metals_offered(day)) == list(day.alloys.all())
        assert queries(lambda: metals_offered(day)) == 1
    put_away(third)
    assert list(metals_offered(day)) == list(day.alloys.all()), "a metal put away stays what the day offers"
    other = DayFactory(course=day.course)
    assert list(metals_offered(other)) == list(other.alloys.all())


def test_a_school_that_is_kept_itself_asks_nothing(school, student, day):
    kept = class_at(student.course_id, SchoolMark.objects.get(school=school).mark)
    shelf_at(kept.school)
    assert queries(lambda: shelf_at(kept.school)) == 0
    assert shelf_at(kept.school) is shelf_at(school)


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
    assert list(SchoolMark.objects.values_list("school_id", flat=True)) == [school.pk]


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
    assert queries(lambda: shelf_at(school)) == 1 + len(MODELS) + 2, "the mark, each list, the bases, the prices"
