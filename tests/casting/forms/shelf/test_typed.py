"""What is typed, against the shelf's values and another teacher's."""

import json

import pytest
from django.http import QueryDict

from casting.forms.shelf.form import ThingForm
from casting.forms.shelf.typed import copy_of, meanwhile, put_back, rearranged
from casting.models import Alloy, Firing
from casting.services.stock import stock_school


@pytest.fixture
def sterling(school):
    stock_school(school)
    return Alloy.objects.get(school=school, key="sterling")


def as_opened(row):
    form = ThingForm(None, row=row)
    return form.stored | {"seen": form.seen(), "version": str(row.version)}


def posted(typed):
    data = QueryDict(mutable=True)
    data.update(typed)
    return data


def test_a_copy_is_a_row_of_its_own(sterling):
    new = copy_of(sterling)
    assert new.pk is None and new.key == "" and new.composition_pct == sterling.composition_pct
    assert sterling.pk and sterling.key == "sterling"


def test_the_shelf_s_value_is_put_into_its_boxes_and_no_others(sterling):
    sterling.pour_c, sterling.quench_min_by_diameter = 985, [[64, 12]]
    found = put_back(as_opened(sterling) | {"name": "Ours"}, sterling, "pour_c")
    assert (found["pour_c"], found["name"]) == ("970", "Ours")
    assert found["quench_min_by_diameter-0-minutes"] == "12"
    found = put_back(as_opened(sterling), sterling, "quench_min_by_diameter")
    assert found["quench_min_by_diameter-2-minutes"] == "20"


def test_nothing_is_put_back_where_the_shelf_has_nothing(sterling):
    sterling.key = "our-own"
    typed = as_opened(sterling)
    assert put_back(typed, sterling, "pour_c") == put_back(typed, sterling, "nonsense") == typed


def test_the_second_teacher_sees_what_the_first_changed_and_loses_nothing(sterling):
    mine = as_opened(sterling) | {"name": "Our sterling", "pour_c": "990"}
    sterling.pour_c, sterling.price_per_g, sterling.version = 985, 1.4, 2
    found = meanwhile(posted(mine), sterling)
    assert found.data["name"] == "Our sterling" and found.data["pour_c"] == "990"
    assert found.data["price_per_g"] == "1.4"  # it was left alone
    assert {one.who for one in found.moved} == {""}
    assert [(one.before, one.now, one.both) for one in found.moved] == [("970", "985", True), ("1.1", "1.4", False)]


@pytest.mark.parametrize("seen", ["", "[]", "{", json.dumps("x")])
def test_a_page_that_lost_what_it_showed_still_keeps_what_is_typed(sterling, seen):
    mine = as_opened(sterling) | {"pour_c": "990", "seen": seen}
    assert meanwhile(posted(mine), sterling).data["pour_c"] == "990"


@pytest.mark.parametrize(
    ("nth", "do", "after"),
    [(0, "down", "b a c"), (2, "up", "a c b"), (1, "out", "a c"), (0, "under", "a  b c"), (0, "up", "a b c"),
     (40, "out", "a b c")],
)  # fmt: skip
def test_a_row_of_a_table_is_moved_taken_out_or_put_under_another(school, nth, do, after):
    typed = {f"segments-{one}-to_c": word for one, word in enumerate("abc")} | {"name": "Mine"}
    moved = rearranged(typed, Firing(school=school), "segments", nth, do)
    assert " ".join(moved.get(f"segments-{one}-to_c", "") for one in range(5)).rstrip() == after
    assert moved["name"] == "Mine" and rearranged(typed, Firing(school=school), "name", nth, do) == typed
