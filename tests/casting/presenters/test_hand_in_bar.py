"""What the bar of the hand-in page understands, as far as the form can be read."""

from decimal import Decimal

import pytest

from casting.forms.hand_in import WaxForm
from casting.presenters.hand_in_bar import bar_of
from tests.casting_factories import typed


def bar(day, **changed):
    form = WaxForm(typed(day, **changed), day=day)
    form.is_valid()
    return bar_of(form)


def test_weight_and_material_are_enough_to_say_what_each_metal_takes(day):
    said = bar(day, alloy="", width_mm="", depth_mm="", height_mm="", section="", what="", on_base="no")
    assert said.wax_g == Decimal("3.20") and said.chosen is None
    # 3.20 / 0.96 = 3.3333 ml: x 10.36 = 34.53 g of sterling. Worked by hand.
    assert {round(one.metal_g, 2) for one in said.choices if one.alloy.key == "sterling"} == {34.53}


def test_the_chosen_metal_is_said_with_its_price(day):
    said = bar(day)
    assert (said.chosen.alloy.key, said.chosen.cost, said.own_metal) == ("sterling", 37.99, False)
    assert bar(day, own_metal="on").own_metal


def test_the_base_is_subtracted(day):
    assert bar(day, weight="45.20", on_base="yes", base="42").wax_g == Decimal("3.20")


@pytest.mark.parametrize("wrong", [{"weight": ""}, {"weight": "1.234,5"}, {"pattern": ""}, {"weight": "435"}])
def test_what_is_not_understood_is_not_said(day, wrong):
    assert bar(day, **wrong) is None


def test_an_untouched_page_says_nothing(day):
    assert bar_of(WaxForm(day=day)) is None
