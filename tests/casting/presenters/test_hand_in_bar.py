"""What the bar of the hand-in page understands, as far as the form can be read."""

from decimal import Decimal

import pytest
from django.urls import reverse

from casting.forms.hand_in import WaxForm
from casting.presenters.hand_in_bar import bar_of
from tests.casting_factories import typed


def bar(day, **changed):
    form = WaxForm(typed(day, **changed), day=day)
    form.is_valid()
    return bar_of(day, form.cleaned_data)


def test_weight_and_material_are_enough_to_say_what_each_metal_takes(day):
    said = bar(day, alloy="", width_mm="", depth_mm="", height_mm="", section="", what="", on_base="no")
    assert said.wax_g == Decimal("3.20") and said.chosen is None
    # 3.20 / 0.96 = 3.3333 ml: x 10.36 = 34.53 g of sterling. Worked by hand.
    assert {round(one.metal_g, 2) for one in said.choices if one.alloy.key == "sterling"} == {34.53}


def test_the_chosen_metal_is_said_with_its_price(day):
    said = bar(day)
    assert (said.chosen.alloy.key, said.chosen.price.total, said.own_metal) == ("sterling", 37.99, False)
    assert bar(day, own_metal="on").own_metal


def test_the_base_is_subtracted(day):
    assert bar(day, weight="45.20", on_base="yes", base="42").wax_g == Decimal("3.20")


@pytest.mark.parametrize("wrong", [{"weight": ""}, {"weight": "1.234,5"}, {"pattern": ""}])
def test_what_is_not_understood_is_not_said(day, wrong):
    assert bar(day, **wrong) is None


def test_an_untouched_page_says_nothing(day):
    assert bar_of(day, {}) is None


def test_a_weight_that_cannot_be_is_not_told_as_if_it_were_understood(student_client, day):
    # 435 g in 22 x 8 x 33 mm, a block of 5.58 g
    address = reverse("hand_in_day", args=[day.pk])
    told = [student_client.post(address, typed(day, weight=entry, preview="1")).content for entry in ("435", "3.2")]
    assert [page.count(b"bar-line") for page in told] == [0, 1]
    assert [b"more than a solid block" in page for page in told] == [True, False]


def test_what_is_still_empty_is_no_mistake_yet(student_client, day):
    empty = dict.fromkeys(("what", "weight", "width_mm", "depth_mm", "height_mm", "section", "alloy"), "")
    said = student_client.post(reverse("hand_in_day", args=[day.pk]), typed(day, preview="1", **empty)).content
    assert b'class="wrong"' not in said
