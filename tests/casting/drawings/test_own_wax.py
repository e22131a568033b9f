"""A flask as one student sees it: the own wax by its tag, nobody else's."""

from xml.etree import ElementTree

from casting.drawings.own_wax import draw_own_wax
from casting.presenters.wax_in_flask import WaxInFlask

SVG = "{http://www.w3.org/2000/svg}"


def drawn(flask, nth):
    return ElementTree.fromstring(draw_own_wax(WaxInFlask(flask.waxes[nth], flask, None)))


def test_only_the_own_wax_has_its_tag_and_its_tint(plan):
    flask = plan.flasks[0]
    root = drawn(flask, 1)
    words = " ".join(root.itertext())
    assert "A2" in words and "A1" not in words and "A3" not in words
    assert [box.get("class") for box in root.iter(f"{SVG}rect")].count("wax") == 1
    assert len(list(root.iter(f"{SVG}rect"))) == len(flask.waxes)


def test_it_says_in_words_which_flask_it_is(plan):
    title = drawn(plan.flasks[0], 0).find(f"{SVG}title").text
    assert title == "Flask A from the wax side, notch at 12 o'clock, with your wax A1"


def test_every_wax_stands_where_the_plan_has_it(plan):
    # 63.5 across with 1 beside and 3 above: the axis stands at 32.75 and 34.75. A1 stands at (0, 14), 18 x 6 mm.
    own = next(box for box in drawn(plan.flasks[0], 0).iter(f"{SVG}rect") if box.get("class") == "wax")
    assert (float(own.get("x")), float(own.get("y"))) == (32.75 - 9, 34.75 - 14 - 3)


def test_of_a_tree_its_own_tier_is_drawn_round_the_trunk(flask):
    # Eight rings, four a tier: the own one and three outlines, and no other tag.
    root = drawn(flask, 5)
    assert len(list(root.iter(f"{SVG}rect"))) == 4
    tags = [words.text for words in root.iter(f"{SVG}text")]
    assert tags == [flask.waxes[5].name.tag]
