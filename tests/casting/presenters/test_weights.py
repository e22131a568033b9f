"""Weights in the sentences of the core on the school's own scale."""

import pytest
from django.utils.translation import override

from casting.calc.values.marked_text import FROM_MEMORY
from casting.calc.values.sentence import say
from casting.presenters import weights
from casting.presenters.formats import SchoolUnits
from casting.presenters.wording import in_units
from casting.units import Mass

DWT = SchoolUnits(weight=Mass.PENNYWEIGHT)


def test_a_weight_of_metal_is_in_pennyweights_with_its_grams():
    # A pennyweight is 1.55517384 g (24 grains of 0.06479891 g): 24 g are 15.432, up to 15.44 as the weigh-out list has
    # a charge; 10.5 g are 6.752.
    gently = say(
        "Heat flask {flask}'s {charge:.1f} g gently: {less_g:g} g is little.", flask="A", charge=24, less_g=10.5
    )
    assert in_units(gently, DWT) == "Heat flask A's 15.44\u202fdwt (24.0 g) gently: 6.75\u202fdwt (10.5 g) is little."
    assert in_units(gently, SchoolUnits()) == "Heat flask A's 24.0 g gently: 10.5 g is little."


@pytest.mark.parametrize(
    "words",
    ["{powder_g} g of powder", "{water} g of water", "{water_most_g_per_100g} g.", "{sg} g/ml", "Tray 24 g"],
)
def test_powder_water_gravity_and_what_a_school_typed_stay(words):
    given = dict.fromkeys(("powder_g", "water", "water_most_g_per_100g", "sg"), 24)
    said = say(words, **{name: value for name, value in given.items() if f"{{{name}}}" in words})
    assert in_units(said, DWT) == str(said)


def test_the_readers_own_decimal_sign_and_the_mark_of_a_figure_from_memory_stay():
    with override("es"):
        assert (
            weights.in_sentence(f"Pesa 10,5{FROM_MEMORY}{weights.UNIT}.", DWT)
            == f"Pesa 6,75\u202fdwt (10,5{FROM_MEMORY} g)."
        )
    assert weights.in_sentence(f"… {weights.UNIT}", DWT) == "…  g"
