"""The forms of the stock, as typed and as read."""

import uuid
from decimal import Decimal as D

from casting.forms.account.stock import HeapForm, LotForm, OwnForm, metal_choice, weight_field
from casting.presenters.account.stock import Heap
from casting.units import Mass
from tests.casting.account_days import lot_of, metal


def typed(**boxes):
    return {"key": str(uuid.uuid4())} | boxes


def test_a_lot_is_read_in_the_schools_unit(day, school):
    boxes = typed(alloy=str(metal(school).pk), weight="10", bought_on="2026-11-20", price="")
    form = LotForm(boxes, school=school, unit=Mass.TROY_OUNCE)
    assert form.is_valid(), form.errors
    assert (form.entry.weight_g, form.entry.price) == (D("311.0348"), None)  # 31.1034768 g an ounce
    assert form["weight"].label == "Weight, ozt" == weight_field(Mass.TROY_OUNCE).label


def test_own_metal_is_of_a_student_who_is_here(day, student, school):
    form = OwnForm(typed(student="0", alloy="", weight="3"), school=school, unit=Mass.GRAM)
    assert not form.is_valid()
    assert (form.errors["student"], form.errors["alloy"]) == (["Choose whose metal it is."], ["Choose a metal."])
    assert student in form.fields["student"].queryset and metal(school) in metal_choice(school).queryset


def test_a_heap_is_one_of_the_stock(day, teacher, school):
    lot = lot_of(school, teacher)
    heaps = [Heap(lot, D(500))]
    assert HeapForm(typed(account=str(lot.pk), weight="3"), heaps=heaps, unit=Mass.GRAM).is_valid()
    assert not HeapForm(typed(account="0", weight="3"), heaps=heaps, unit=Mass.GRAM).is_valid()
