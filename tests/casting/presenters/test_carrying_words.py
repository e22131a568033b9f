"""Why a flask or a spot refuses a wax: the measured figure, the limit and the other wax named."""

import pytest

from casting.calc.advice.carrying import Bill
from casting.calc.values.placed import Breach, Rule
from casting.presenters.carrying_words import SENTENCES, bill_words, breach_words, in_one_line

METALS = {"sterling": "Sterling silver", "gold-14k": "14k yellow gold"}


def test_every_rule_of_the_board_has_its_sentence():
    assert set(SENTENCES) == {rule.value for rule in Rule}


@pytest.mark.parametrize(
    ("breach", "words"),
    [
        (Breach(Rule.GAP, "C3", 3.1, 6.0, "P4"), "3.1 mm from P4; 6 mm is needed."),
        # The other wax of a pair is whichever is not in hand.
        (Breach(Rule.GAP, "P4", 3.1, 6.0, "C3"), "3.1 mm from P4; 6 mm is needed."),
        (Breach(Rule.METAL, "C3", mine="sterling", theirs="gold-14k"), "B is 14k yellow gold, C3 is Sterling silver."),
        (
            Breach(Rule.SECTIONS, "C3", 2, 1, "E4", "heavy", "thin"),
            "heavy with thin (E4): 2 steps apart, 1 at most.",
        ),
        (Breach(Rule.TORCH, "C3", 212.0, 198.0), "Charge 212.0 g, the torch melts 198."),
        (Breach(Rule.PLACES, "C3", 5, 4), "5 waxes with C3; B takes 4."),
        # A clearance is rounded down: what lacks a hair never reads as kept.
        (Breach(Rule.WALL, "C3", 6.497, 6.5), "6.4 mm from the wall; 6.5 mm is needed."),
        (Breach(Rule.REACH, "C3", 19.01, 19.0), "Its foot is 19.1 mm from the axis; the cone feeds to 19 mm."),
    ],
)
def test_a_refusal_names_figure_limit_and_other_wax(breach, words):
    assert breach_words(breach, "C3", "B", METALS) == words


def test_all_refusals_stand_in_one_line():
    both = [Breach(Rule.FIXED, "C3"), Breach(Rule.KILN, "C3")]
    assert in_one_line(both, "C3", "B", METALS) == "B is on the bench and stays as it is. No kiln has room for it."


def test_what_the_day_needs_more_is_said_and_what_is_the_same_is_not(school):
    school.currency = "USD"
    words = bill_words(Bill(charge_g=10, button_g=-2.5, powder_g=101, cost=0.42), school)
    assert words.replace("\u202f", " ") == "+101 g powder, \u22122.5 g button, +0.42 USD"
    assert bill_words(Bill(0, 0, 0, 0), school) == "" and bill_words(None, school) == ""
