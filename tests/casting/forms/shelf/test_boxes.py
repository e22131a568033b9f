"""Boxes: what stands in one for a stored figure, and what is read of what is typed."""

import pytest

from casting.forms.shelf.boxes import TickBox, WholeBox, YesNoBox, either, heat_box, length_box, ramp_box
from casting.presenters.formats import SchoolUnits
from casting.units import Length, Mass, NotUnderstood, Temperature

METRIC = SchoolUnits()
OTHER = SchoolUnits(Mass.PENNYWEIGHT, Temperature.FAHRENHEIT, Length.INCH)


# 1350 F is (1350 - 32) / 1.8 = 732.22 C; 300 F an hour is 300 / 1.8 = 166.67 C an hour; an inch is 25.4 mm.
@pytest.mark.parametrize(
    ("box", "units", "typed", "stored"),
    [
        (heat_box, METRIC, "732", 732),
        (heat_box, OTHER, "1350", 732.2222222222222),
        (heat_box, OTHER, "1350 °F", 732.2222222222222),
        (ramp_box, METRIC, "167", 167),
        (ramp_box, OTHER, "300", 166.66666666666666),
        (length_box, METRIC, "50,8", 50.8),
        (length_box, OTHER, "2.5", 63.5),
    ],
)
def test_what_is_typed_comes_back_as_it_was(box, units, typed, stored):
    found = box(units).read(typed)
    assert found == pytest.approx(stored, abs=1e-9)
    assert box(units).shown(found) == typed.removesuffix(" °F").replace(",", ".")


# 566 C is 566 * 1.8 + 32 = 1050.8 F; 356 mm is 356 / 25.4 = 14.0157 in.
def test_a_stored_figure_is_shown_in_the_school_s_unit():
    assert heat_box(OTHER).shown(566) == "1051"
    assert length_box(OTHER).shown(356) == "14.016"
    assert heat_box(METRIC).shown(None) == ""


@pytest.mark.parametrize(
    ("typed", "inches"),
    [("2 1/2", 2.5), ("2½", 2.5), ("3/8", 0.375), ("2-3/4", 2.75), ("3 1/2 in", 3.5), ("12 1/16", 12.0625)],
)
def test_inches_may_be_typed_as_a_ruler_has_them(typed, inches):
    assert length_box(OTHER).read(typed) == pytest.approx(inches * 25.4)


@pytest.mark.parametrize("typed", ["1/3", "2/", "1/2/4", "2 12", "21/2", "1 1/2 ft"])
def test_what_no_ruler_has_is_refused(typed):
    with pytest.raises(NotUnderstood):
        length_box(OTHER).read(typed)


def test_millimetres_have_no_fractions():
    with pytest.raises(NotUnderstood):
        length_box(METRIC).read("50 1/2")


@pytest.mark.parametrize("typed", ["-3", "two", "1.2.3", "9 mm", "4²"])
def test_what_is_no_number_of_that_unit_is_refused(typed):
    with pytest.raises(NotUnderstood):
        heat_box(METRIC).read(typed)


def test_a_count_is_digits():
    assert WholeBox().read(" 12 ") == 12
    for typed in ("1.5", "-1", "five", "²"):
        with pytest.raises(NotUnderstood):
            WholeBox().read(typed)


def test_unknown_is_not_no():
    assert [YesNoBox().shown(one) for one in (True, False, None)] == ["yes", "no", ""]
    assert YesNoBox().read("no") is False
    with pytest.raises(NotUnderstood):
        YesNoBox().read("perhaps")


def test_only_a_word_of_the_list_is_taken():
    box = either([("cone", "cone"), ("tree", "tree")])
    assert box.read("tree") == "tree"
    with pytest.raises(NotUnderstood):
        box.read("shrub")


def test_a_tick_posts_a_word_or_nothing():
    assert TickBox().widget().value_from_datadict({"a": "on"}, {}, "a") == "on"
    assert TickBox().widget().value_from_datadict({}, {}, "a") == ""
    assert TickBox().shown(False) == "" and TickBox().read("on") is True
