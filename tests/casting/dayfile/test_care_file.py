"""How pieces of a metal are cared for: which line holds for which metal, and where it comes from."""

import pytest

from casting.calc.values.enums import Status
from casting.dayfile.care_file import care_of, care_rules
from casting.presenters.care import CARE


@pytest.mark.parametrize(
    ("parts", "has", "has_not"),
    [
        ({"Ag": 92.5, "Cu": 7.5}, {"silver-pickle", "fire-stain", "tarnish"}, {"own-pickle", "nickel", "white-gold"}),
        ({"Ag": 99.9}, {"silver-pickle", "tarnish"}, {"fire-stain", "nickel"}),
        ({"Cu": 95, "Si": 4}, {"own-pickle", "green-skin"}, {"silver-pickle", "tarnish", "nickel"}),
        ({"Au": 58.3, "Cu": 28.3, "Ni": 8.6, "Zn": 4.8}, {"silver-pickle", "white-gold", "nickel"}, {"own-pickle"}),
        ({"Au": 58.5, "Ag": 25, "Cu": 16.5}, {"silver-pickle"}, {"white-gold", "nickel"}),
        ({"Ag": 80, "Cu": 20, "Ni": None}, {"nickel"}, {"white-gold"}),
        (None, {"own-pickle", "silver-pickle", "nickel", "green-skin"}, set()),
    ],
)
def test_a_line_holds_for_the_metals_it_is_for_and_for_what_nobody_recorded(parts, has, has_not):
    """By the published recipes of sterling, fine silver, silicon bronze, nickel white and yellow gold."""
    keys = {rule.key for rule in care_of(parts)}
    assert has <= keys and not has_not & keys and "dry" in keys


def test_every_line_has_its_words_its_source_and_what_that_is_worth():
    assert [rule.key for rule in care_rules()] == list(CARE)
    assert all(rule.source and Status(rule.status) for rule in care_rules())
