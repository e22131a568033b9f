"""Questions about figures that may be so and seldom are: each with a case that asks and a fair one that does not."""

from decimal import Decimal

import pytest

from casting.calc.values.day_plan import LeftOut
from casting.calc.values.enums import Reason
from casting.forms.hand_in import WaxForm
from casting.forms.remembered import last_figures
from casting.forms.wax_questions import (
    Figures,
    cut_helps,
    in_inches_instead,
    no_room,
    other_unit,
    questions,
    too_light,
)
from casting.units import Mass
from tests.casting_factories import handed_in, typed


def figures(wax_g="3.2", width="22", depth="8", height="33"):
    return Figures(*(Decimal(value) for value in (wax_g, width, depth, height)))


def asked(now, last=None):
    return " ".join(questions(now, last, lambda length: f"{length} mm"))


@pytest.mark.parametrize(
    ("wax_g", "said"),
    [
        ("32", "about ten times your last one"),
        ("0.32", "about a tenth of your last one"),
        ("6.4", ""),
        ("1", ""),
        ("3.2", ""),
    ],
)
def test_a_slipped_comma_is_asked_about_beside_a_piece_of_the_same_size(wax_g, said):
    now = asked(figures(wax_g), figures())
    assert said in now and bool(said) == bool(now)


def test_a_piece_ten_times_as_large_may_weigh_ten_times_as_much():
    assert asked(figures("32", "44", "18", "70"), figures()) == ""
    assert asked(figures("32")) == ""


@pytest.mark.parametrize(
    ("width", "depth", "height", "is_asked"),
    [
        ("22", "8", "6", True),
        ("22", "8", "7.9", True),
        ("32", "6", "22", True),  # a ring with its width and height changed about: 32 is over 1.25 x 22
        ("6", "32", "22", True),
        ("33.3", "7", "26.7", False),  # a wide pendant: 1.25 x 26.7 is 33.4
        ("22", "8", "33", False),
    ],
)
def test_swapped_sides_are_asked_about(width, depth, height, is_asked):
    said = asked(figures(width=width, depth=depth, height=height))
    assert ("Is that its height on its sprue" in said) == is_asked == bool(said)


def test_sides_in_inches_are_asked_about():
    assert "Are these inches?" in in_inches_instead((Decimal("0.9"), Decimal("0.25"), Decimal("1.25")))
    assert in_inches_instead((Decimal("3"), Decimal("3"), Decimal("9"))) == ""


def test_the_form_asks_in_the_school_s_unit(day, student):
    form = WaxForm(typed(day, weight="1", depth_mm="12", height_mm="6"), day=day)
    assert form.is_valid() and "It is 22 mm across and 6 mm tall" in form.doubt
    fair = WaxForm(typed(day), day=day)
    handed_in(day, student)
    fair.before = last_figures(student)
    assert fair.is_valid() and not fair.doubt


def test_bare_inches_are_told_beside_the_weight(day):
    form = WaxForm(typed(day, width_mm=".9", depth_mm=".25", height_mm="1.25"), day=day)
    assert "Are these inches?" in " ".join(form.errors["width_mm"])
    assert "write in behind each of them: 0.9 in" in " ".join(form.errors["width_mm"]) and "weight" not in form.errors
    inches = WaxForm(typed(day, width_mm=".9 in", depth_mm=".25 in", height_mm="1.25 in"), day=day)
    assert inches.is_valid() and inches.cleaned_data["width_mm"] == Decimal("22.86")


def test_another_unit_than_that_of_the_scale_is_asked_about_unless_it_is_written_out(day):
    assert "Is it 2 dwt?" in doubt(day, weight="2", unit="dwt")
    assert doubt(day, weight="2 dwt", unit="g") == "" == doubt(day)


def test_a_doubt_of_its_sides_does_not_ask_about_the_unit_of_its_weight(day):
    lying = {"width_mm": "22", "depth_mm": "33", "height_mm": "8"}
    assert doubt(day, weight="2.1", **lying).endswith("from the sprue's foot to the top?")


def doubt(day, **changed):
    form = WaxForm(typed(day, **changed), day=day)
    assert form.is_valid()
    return form.doubt


def test_a_size_that_no_flask_takes_is_asked_about_once_and_another_reason_is_told_only(day, student):
    # The tallest flask takes 69.5 mm: test_a_wax_too_tall_is_written_and_said.
    for height, is_asked in (("190", True), ("88", True), ("69", False)):
        form = WaxForm(typed(day, height_mm=height), day=day)
        assert form.preview(student) and ("Is that its size?" in form.doubt) == is_asked
    assert no_room(LeftOut("K8", Reason.OVER_CRUCIBLE, "Alone it needs more.", None)) == ""


def test_a_wax_that_fits_once_its_sprue_is_cut_is_not_told_to_look_for_a_comma():
    near = LeftOut("K8", Reason.TOO_TALL, "73 mm tall; the tallest flask takes 69.5 mm.", "cut the sprue by 4 mm")
    assert no_room(near) == "Will you leave it as it is?" and cut_helps(near) and not cut_helps(None)


@pytest.mark.parametrize(
    ("wax_g", "said"), [("0.0634", "0.06"), ("0.185", "0.185"), ("0.2", "0.20"), ("0.0003", "0.0003")]
)
def test_a_weight_in_a_question_has_the_decimals_of_a_scale(wax_g, said):
    # Half a ring 22 mm across, 8 mm wide, 1.2 mm thick, 0.96: 0.30111 g, never told as less.
    light = figures(wax_g)
    least_g = light.band_g(Decimal("1.2"), Decimal("0.96"))
    asked = too_light(light, Decimal("1.2"), least_g, None, lambda length: f"{length} mm")
    assert asked.startswith(f"{said}\u202fg is very little") and "thick weighs 0.31\u202fg." in asked


@pytest.mark.parametrize(
    ("unit", "wax_g", "other"),
    # 0.2 dwt are 0.311 g; 6.77 g were 4.35 dwt (NIST Handbook 44, App. C)
    [(Mass.GRAM, "0.2", Mass.PENNYWEIGHT), (Mass.PENNYWEIGHT, "6.77", Mass.GRAM), (Mass.GRAM, "0.04", None)],
)
def test_the_other_unit_is_offered_where_it_fits(unit, wax_g, other):
    assert other_unit(unit, Decimal(wax_g), Decimal("0.3"), Decimal("5.85")) == other


@pytest.mark.parametrize(
    ("sides", "thin_mm", "half_g", "least_of_one_g"),
    [
        # A ring 22 mm across, 2 mm wide, its wall 0.8 mm, as thin as "thin" begins, on 11 mm of 2 mm sprue:
        # pi * 21.2 * 0.8 * 2 + pi * 11 = 106.6 + 34.6 = 141 mm3 = 0.14 g.
        (("22", "2", "33"), "0.8", "0.0512", "0.14"),
        # Filigree, 30 mm each way, 300 mm of 0.6 mm wire (common practice) on 12 mm of 2 mm sprue:
        # 0.2827 * 300 + 37.7 = 122.5 mm3 = 0.12 g.
        (("2", "30", "42"), "0.8", "0.0705", "0.12"),
        (("2", "30", "42"), None, "0.0445", "0.12"),
        # A hollow ring 22 mm across, 6 mm wide, its wall 1.2 mm: pi * 20.8 * 6 * 1.2 = 470 mm3 = 0.45 g.
        (("22", "6", "32"), "1.2", "0.2258", "0.45"),
    ],
)
def test_fair_waxes_that_are_thin_or_hollow_weigh_more_than_half_a_ring(sides, thin_mm, half_g, least_of_one_g):
    # pi / 2 x (middle side - wall) x short side x wall x 0.96 / 1000
    half = figures("1", *sides).band_g(thin_mm and Decimal(thin_mm), Decimal("0.96"))
    assert round(half, 4) == Decimal(half_g) < Decimal(least_of_one_g)
