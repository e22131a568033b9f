"""Why a wax is left out. Numbers worked by hand from the contract's formulas."""

from dataclasses import replace

import pytest

from casting.calc.cautions.materials import stopped
from casting.calc.grouping.group import group
from casting.calc.values.enums import Reason
from tests.days.day_input import FIRING, KILN, STERLING, a_day, a_wax, sizes

# tallest wax: 76x102 takes 101.6 - 10 - 19.05 - 3 = 69.55 mm


def only_left_out(day):
    (left,) = group(day, 20).left_out
    return left


def test_a_wax_too_tall_by_less_than_a_sprue_can_lose_says_how_much():
    # 72 - 69.55 = 2.45 mm too much, so 3 mm in whole mm
    left = only_left_out(a_day([a_wax("w1", height_mm=72)]))
    assert (left.reason, left.cure) == (Reason.TOO_TALL, "cut the sprue by 3 mm")
    assert left.detail == "72 mm tall; the tallest flask takes 69.5 mm."


def test_a_wax_as_tall_as_the_flask_takes_goes_in():
    # 34.625 mm is what the 64x64 takes: 63.5 - 10 - 15.875 - 3
    day = a_day([a_wax("w1", height_mm=34.625)], flask_sizes=sizes(small=0, tall=0))
    assert not group(day, 20).left_out


def test_a_wax_far_too_tall_has_no_cure():
    left = only_left_out(a_day([a_wax("w1", height_mm=90)]))
    assert (left.reason, left.cure) == (Reason.TOO_TALL, None) and "wide" not in left.detail


def test_a_wax_too_tall_and_too_wide_is_told_both():
    # the diagonal of 150 x 40 mm is 155.24; 76.2 - 2 x 6.5 = 63.2 mm are usable
    left = only_left_out(a_day([a_wax("w1", width_mm=150, depth_mm=40, height_mm=90)]))
    assert left.reason is Reason.TOO_TALL and left.detail == (
        "90 mm tall; the tallest flask takes 69.5 mm. It is too wide as well: 150 x 40 mm is 155.2 mm from corner to "
        "corner, and the widest flask takes 63.2 mm."
    )


def test_a_wax_too_wide_for_every_flask_high_enough():
    # 60 x 25 mm has a diagonal of 65 mm; 76.2 - 2 x 6.5 = 63.2 mm are usable
    left = only_left_out(a_day([a_wax("w1", width_mm=60, depth_mm=25)]))
    assert (left.reason, left.cure) == (Reason.TOO_WIDE, None)
    assert "65.0 mm" in left.detail
    assert "63.2 mm" in left.detail


def test_a_wax_too_wide_where_it_is_too_tall_may_be_cut_to_a_lower_wider_flask():
    # 36 mm tall is over the 34.625 of the 64x64, and the 51x64 takes 63.5 - 10 - 13 - 3 = 37.5 but only
    # 37.8 mm across; a diagonal of 40 mm fits the 64x64's 50.5. Cut 2 mm: 34 mm.
    day = a_day([a_wax("w1", width_mm=32, depth_mm=24, height_mm=36)])
    day = replace(day, flask_sizes=tuple(size for size in day.flask_sizes if size.key != "76x102"))
    left = only_left_out(day)
    assert (left.reason, left.cure) == (Reason.TOO_WIDE, "cut the sprue by 2 mm")


def test_a_resin_keeps_its_own_wall():
    # 63.2 mm usable for wax, 76.2 - 2 x 10 = 56.2 for resin; the diagonal is 60
    shape = {"width_mm": 48, "depth_mm": 36}
    assert not group(a_day([a_wax("w1", **shape)]), 20).left_out
    assert only_left_out(a_day([a_wax("w1", pattern="resin", **shape)])).reason is Reason.TOO_WIDE


def test_a_wax_whose_charge_no_melt_takes():
    # 17 g x 10.36 / 0.96 = 183.46 g of metal, 15 % button: 210.98, up to 211 g; a melt takes 198.9 g.
    # 198.5 / 1.15 = 172.61 g of metal at most, 15.995 g of wax: 1.1 g lighter.
    left = only_left_out(a_day([a_wax("w1", wax_g=17)]))
    assert (left.reason, left.cure) == (Reason.OVER_CRUCIBLE, "make the wax 1.1 g lighter")
    assert "211.0 g of sterling silver" in left.detail
    assert not group(a_day([a_wax("w1", wax_g=15.9)]), 20).left_out


def test_a_wax_for_which_no_flask_is_left():
    waxes = [a_wax("w1"), a_wax("w2", alloy="bronze")]
    left = only_left_out(a_day(waxes, flask_sizes=sizes(small=1, middle=0, tall=0)))
    assert (left.reason, left.cure) == (Reason.NO_FLASK_LEFT, "one more 50.8 × 63.5\u2060 mm flask")


def test_a_wax_for_which_the_kiln_has_no_room():
    # 120 mm less 2 x 25 leaves 70: one flask of 67 mm, not two of any size
    waxes = [a_wax("w1"), a_wax("w2", alloy="bronze")]
    kiln = replace(KILN, width_mm=120, depth_mm=120)
    left = only_left_out(a_day(waxes, kilns=(kiln,)))
    assert left.reason is Reason.NO_KILN_ROOM


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"kilns": ()}, "the day has no kiln."),
        ({"firings": ()}, "the day has no firing."),
        ({"kilns": (replace(KILN, width_mm=60),)}, "no kiln of the day is large enough for it,"),
        # 113 less 25 under and 25 over it leaves 63, and the lowest flask has 63.5
        (
            {"kilns": (replace(KILN, height_mm=113),)},
            "it is 63.5 mm tall. The highest kiln has 113 mm, of which 25 mm stay free under a flask and 25 mm over "
            "it: it takes flasks up to 63 mm.",
        ),
        ({"firings": (replace(FIRING, max_height_mm=50),)}, "no kiln of the day is large enough for it, or no firing"),
    ],
)
def test_a_day_whose_kilns_fire_no_flask_says_what_is_missing_of_them(more, said):
    left = only_left_out(a_day([a_wax("w1")], **more))
    assert left.reason == Reason.NO_KILN_ROOM
    assert said in left.detail


@pytest.mark.parametrize("height_mm", [25, 90])
def test_a_stop_comes_before_every_other_reason(height_mm):
    # platinum needs phosphate-bonded powder; gypsum breaks down (cautions.py names its source)
    platinum = replace(STERLING, key="pt", composition_pct={"Pt": 95.0, "Ru": 5.0}, pour_c=1850, liquidus_c=1795)
    day = a_day([a_wax("w1", alloy="pt", height_mm=height_mm)], alloys={"pt": platinum})
    left = only_left_out(day)
    assert (left.reason, left.detail) == (Reason.STOPPED, stopped(day.waxes[0], day))


def test_what_must_stay_out_is_in_the_proof():
    waxes = [a_wax("w1"), a_wax("w2", height_mm=90), a_wax("w3", height_mm=90, piece=2)]
    proof = group(a_day(waxes), 20).proof
    assert (proof.left_out_at_least, proof.first_left_out_at_least, proof.flasks_proved) == (2, 1, True)
