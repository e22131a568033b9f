"""The rows of a school's shelf."""

import pytest

from casting.models import Alloy, HouseRules
from casting.selectors.shelf import house_rules, shelf_rows
from casting.services.stock import stock_school


@pytest.fixture(autouse=True)
def _stocked(school, other_teacher):
    stock_school(school)
    stock_school(other_teacher.school)


def test_what_the_school_works_with_comes_first_and_nothing_of_another_school(school):
    alloys = shelf_rows(school)["alloys"]
    assert [row.offered for row in alloys] == sorted((row.offered for row in alloys), reverse=True)
    assert {row.school_id for rows in shelf_rows(school).values() for row in rows} == {school.pk}
    assert len(alloys) == Alloy.objects.filter(school=school).count() == 13


def test_each_list_is_one_query(school, django_assert_num_queries):
    with django_assert_num_queries(6):
        shelf_rows(school)


def test_rules_that_the_school_does_not_work_with_are_none_of_its_rules(school):
    assert house_rules(school).school == school
    HouseRules.objects.filter(school=school).update(offered=False)
    assert house_rules(school) is None
