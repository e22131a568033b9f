"""Why a wax stands in its flask: each other flask by what keeps it out, or by what the day would then cost."""

from types import SimpleNamespace

from casting.calc.advice.carrying import Bill
from casting.calc.advice.why_here import WhyHere
from casting.calc.values.placed import Breach, Rule
from casting.presenters.formats import SchoolUnits
from casting.presenters.why_here import SHORTLY, why_words

READER = SimpleNamespace(metals={"sterling": "sterling silver", "gold-14k": "14k yellow gold"}, units=SchoolUnits())
GOLD = Breach(Rule.METAL, "C3", mine="sterling", theirs="gold-14k")


def said(school, **why):
    given = {"label": "A", "kept_out": (), "no_spot": (), "elsewhere": ()} | why
    return why_words(WhyHere(**given), "C3", READER, school)


def test_one_flask_is_told_with_its_figure_and_several_by_their_rule(school):
    thin = Breach(Rule.SECTIONS, "C3", 2, 1, "E4", "thin", "heavy")
    assert said(school, kept_out=((Rule.METAL, (("B", GOLD), ("C", GOLD))), (Rule.SECTIONS, (("D", thin),)))) == (
        "No other flask on the board takes it.",
        "Not into B, C: another metal.",
        "D: thin with heavy (E4): 2 steps apart, 1 at most.",
    )
    assert said(school, kept_out=((Rule.METAL, (("B", GOLD),)),))[1] == "B is 14k yellow gold, C3 is sterling silver."


def test_a_flask_that_takes_it_is_told_with_its_price_and_no_spot_is_no_proof(school):
    school.currency = "USD"
    less = Bill(charge_g=0, button_g=0, powder_g=-182, cost=-12.5)
    words = said(school, elsewhere=(("B", less), ("C", Bill(0, 0, 0, 0))), no_spot=("D",))
    assert [one.replace("\u202f", " ") for one in words] == [
        "B would take it: \u2212182 g powder, \u221212.50 USD.",
        "C would take it: at the same cost.",
        "No spot was found while the others stay, which proves nothing: D.",
    ]


def test_of_a_single_flask_that_is_said(school):
    assert said(school) == ("It is the only flask on the board.",)


def test_whatever_keeps_a_wax_out_of_several_flasks_has_its_words():
    at_a_spot = {Rule.GAP, Rule.WALL, Rule.REACH, Rule.PATH, Rule.ALONE, Rule.TRUNK_NEAR, Rule.TRUNK_FAR, Rule.TIER}
    at_a_spot |= {Rule.STACK}
    assert set(Rule) - at_a_spot == set(SHORTLY)
