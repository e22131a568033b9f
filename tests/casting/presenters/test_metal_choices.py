"""What a wax would take in each metal of its day: worked by hand."""

import pytest

from casting.models import Alloy, PatternMaterial
from casting.presenters.metal_choices import metal_choices


@pytest.fixture
def sterling_and_bronze(day):
    return list(Alloy.objects.filter(key__in=["sterling", "si-bronze"]).order_by("-key"))


def material(key):
    return PatternMaterial.objects.get(key=key)


def test_each_metal_takes_the_volume_of_the_wax_at_its_own_weight(sterling_and_bronze):
    choices = metal_choices(3.2, material("carving-wax"), sterling_and_bronze, 0.0, None)
    # 3.20 / 0.96 = 3.3333 ml; x 10.36 = 34.533 g of sterling, at 1.10 a gram 37.99 (37.9867).
    sterling, bronze = choices
    assert sterling.metal_g == pytest.approx(34.5333, abs=1e-4) and sterling.price.total == 37.99
    assert bronze.metal_g == pytest.approx(3.2 / 0.96 * bronze.alloy.specific_gravity)
    assert sterling.sprue_metal_g is sterling.piece_metal_g is None


def test_a_sprue_that_was_weighed_is_told_apart(sterling_and_bronze):
    (sterling, _) = metal_choices(3.2, material("carving-wax"), sterling_and_bronze, 0.5, material("injection-wax"))
    sprue_sg = material("injection-wax").specific_gravity
    # Volumes add: (3.2 - 0.5) / 0.96 + 0.5 / its own.
    assert sterling.sprue_metal_g == pytest.approx(0.5 / sprue_sg * 10.36)
    assert sterling.metal_g == pytest.approx((2.7 / 0.96 + 0.5 / sprue_sg) * 10.36)
    assert sterling.piece_metal_g == pytest.approx(2.7 / 0.96 * 10.36)


def test_a_metal_without_a_price_costs_nobody_knows_what(sterling_and_bronze):
    sterling_and_bronze[0].price_per_g = None
    assert metal_choices(3.2, material("carving-wax"), sterling_and_bronze, 0.0, None)[0].price is None
