"""Why a flask or a spot refuses a wax: the measured figure, the limit and the other wax named."""

from types import SimpleNamespace

import pytest

from casting.calc.advice.carrying import Bill
from casting.calc.values.placed import Breach, Rule
from casting.presenters.carrying_words import SENTENCES, bill_words, breach_words, in_one_line
from casting.presenters.formats import SchoolUnits
from casting.units import Length

METALS = {"sterling": "Sterling silver", "gold-14k": "14k yellow gold"}
READER = SimpleNamespace(metals=METALS, units=SchoolUnits())


def test_every_rule_of_the_board_has_its_sentence():
    assert set(SENTENCES) == {rule.value for rule in Rule}


@pytest.mark.parametrize(
    ("breach", "words"),
    [
        (Breach(Rule.GAP, "C3", 3.1, 6.0, "P4"), "3.1\u202fmm from P4; 6\u202fmm is needed."),
        # The other wax of a pair is whichever is not in hand.
        (Breach(Rule.GAP, "P4", 3.1, 6.0, "C3"), "3.1\u202fmm from P4; 6\u202fmm is needed."),
        (Breach(Rule.METAL, "C3", mine="sterling", theirs="gold-14k"), "B is 14k yellow gold, C3 is Sterling silver."),
        (
            Breach(Rule.SECTIONS, "C3", 2, 1, "E4", "heavy", "thin"),
            "heavy with thin (E4): 2 steps apart, 1 at most.",
        ),
        (Breach(Rule.TORCH, "C3", 212.0, 198.0), "Charge 212.0 g, the torch melts 198."),
        (
            Breach(Rule.PATH, "C3", 1.0, 3.0, "P4"),
            "P4 stands in the way of the metal to C3: 1.0\u202fmm, 3\u202fmm is needed.",
        ),
        (
            Breach(Rule.PATH, "P4", 1.0, 3.0, "C3"),
            "C3 stands in the way of the metal to P4: 1.0\u202fmm, 3\u202fmm is needed.",
        ),
        (Breach(Rule.PLACES, "C3", 5, 4), "5 waxes with C3; B takes 4."),
        # A clearance is rounded down: what lacks a hair never reads as kept.
        (Breach(Rule.WALL, "C3", 6.497, 6.5), "6.4\u202fmm from the wall; 6.5\u202fmm is needed."),
        (
            Breach(Rule.REACH, "C3", 19.01, 19.0),
            "Its foot is 19.1\u202fmm from the axis; the cone feeds to 19\u202fmm.",
        ),
    ],
)
def test_a_refusal_names_figure_limit_and_other_wax(breach, words):
    assert breach_words(breach, "C3", "B", READER) == words


def test_a_school_of_inches_reads_them_rounded_to_the_side_that_tells():
    inches = SimpleNamespace(metals=METALS, units=SchoolUnits(length=Length.INCH))
    # 6.497 / 25.4 = 0.2558, 6.5 / 25.4 = 0.2559; 19.01 / 25.4 = 0.7484
    wall = breach_words(Breach(Rule.WALL, "C3", 6.497, 6.5), "C3", "B", inches)
    assert wall == "0.25\u202fin (6.4\u202fmm) from the wall; 0.26\u202fin (6.5\u202fmm) is needed."
    foot = breach_words(Breach(Rule.REACH, "C3", 19.01, 19.0), "C3", "B", inches)
    assert foot.startswith("Its foot is 0.75\u202fin (19.1\u202fmm) from the axis")


def test_all_refusals_stand_in_one_line():
    both = [Breach(Rule.FIXED, "C3"), Breach(Rule.KILN, "C3")]
    assert in_one_line(both, "C3", "B", READER) == "B is on the bench and stays as it is. No kiln has room for it."


def test_what_the_day_needs_more_is_said_and_what_is_the_same_is_not(school):
    school.currency = "USD"
    words = bill_words(Bill(charge_g=10, button_g=-2.5, powder_g=101, cost=0.42), school)
    assert words.replace("\u202f", " ") == "+101 g powder, \u22122.5 g button, +0.42 USD"
    assert bill_words(Bill(0, 0, 0, 0), school) == "" and bill_words(None, school) == ""
