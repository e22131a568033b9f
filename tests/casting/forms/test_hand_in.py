"""The form of a wax: typed text becomes g and mm."""

from decimal import Decimal

import pytest

from casting.forms.hand_in import WaxForm
from casting.forms.wax_fields import seen_of, typed_of
from tests.casting_factories import handed_in, typed


def form_of(day, **changed):
    return WaxForm(typed(day, **changed), day=day)


def test_a_plain_band_is_read_as_typed(day):
    form = form_of(day)
    assert form.is_valid()
    entry = form.entry()
    assert (entry.wax_g, entry.sprue_g, entry.entered, entry.entered_unit) == (Decimal("3.2"), 0, "3,20", "g")


def test_the_rubber_base_is_taken_off(day):
    form = form_of(day, weight="15.5", on_base="yes", base="12.3")
    assert form.is_valid() and form.entry().wax_g == Decimal("3.2")


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"weight": "0"}, "weight"),
        ({"on_base": "yes"}, "base"),
        ({"base": "12"}, "base"),
        ({"on_base": "yes", "base": "3.20"}, "weight"),
        ({"sprue": "0.4"}, "sprue_pattern"),
        ({"height_mm": "401"}, "height_mm"),
        # medium begins at 1.2 mm; the wax is 8 mm deep, and a ruler may be 5 % off: 8.4 mm
        ({"thickest_mm": "1.1"}, "thickest_mm"),
        ({"thickest_mm": "8.41"}, "thickest_mm"),
        ({"thickest_mm": "thick"}, "thickest_mm"),
        ({"thickest_mm": "0"}, "thickest_mm"),
        ({"thick_parts": "7"}, "thick_parts"),
        # 22 x 8 x 33 mm at 0.96 weigh 5.58 g; 1.05 times that is 5.86 g.
        ({"weight": "5.87"}, "weight"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(day, changed, field):
    assert field in form_of(day, **changed).errors


@pytest.mark.parametrize(
    ("typed_mm", "read_mm"), [("", None), (" ", None), ("1,2", Decimal("1.2")), ("8.4", Decimal("8.4"))]
)
def test_a_thickest_part_may_be_left_out_and_is_read_with_comma_or_point(day, typed_mm, read_mm):
    form = form_of(day, thickest_mm=typed_mm, thick_parts="")
    assert form.is_valid() and form.entry().thickest_mm == read_mm and form.entry().thick_parts is None


def test_a_thickest_part_reads_back_as_it_was_typed(day):
    again = typed_of(handed_in(day, thickest_mm=Decimal("3.50"), thick_parts=2))
    assert (again["thickest_mm"], again["thick_parts"]) == ("3.5", 2)
    assert (typed_of(handed_in(day))["thickest_mm"], typed_of(handed_in(day))["thick_parts"]) == ("", "")


def test_a_very_light_wax_is_doubted_and_not_refused(day):
    # A sheet of 22 x 8 x 0.5 mm at 0.96 weighs 0.08448 g.
    light, heavier = form_of(day, weight="0.08"), form_of(day, weight="0.09")
    assert light.is_valid() and "0.08" in light.doubt
    assert heavier.is_valid() and not heavier.doubt


def test_the_same_figures_have_the_same_digest_and_others_another(day):
    digests = []
    for weight in ("3.20", "3.20", "3.21"):
        form = form_of(day, weight=weight)
        assert form.is_valid()
        digests.append(seen_of(form.entry()))
    assert digests[0] == digests[1] != digests[2]


def test_a_wax_reads_back_as_it_was_typed(day):
    again = typed_of(handed_in(day))
    assert (again["weight"], again["unit"], again["on_base"], again["width_mm"]) == ("3,20", "g", "no", "22")


@pytest.mark.parametrize("stones", ["", "diamond", None])
def test_stones_are_none_unless_somebody_says_so_and_never_left_open(day, stones):
    form = form_of(day, stones=stones)
    assert not form.is_valid() and set(form.errors) == {"stones"}
    assert form_of(day).is_valid() and WaxForm(day=day)["stones"].value() == "none"


def test_stones_go_into_the_day_file(day, student):
    assert "stones" not in handed_in(day).to_day()
    wax = handed_in(day, stones="take_firing")
    assert wax.to_day()["stones"] == "take_firing" and typed_of(wax)["stones"] == "take_firing"


def test_a_unit_that_the_schools_scale_does_not_show_is_doubted_once(day):
    # A pennyweight is 1.55517384 g: 1.5 dwt typed as grams is a third too light, and no size can tell.
    assert WaxForm(day=day)["unit"].value() == "g"
    slip = form_of(day, weight="1.5", unit="dwt")
    assert slip.is_valid() and slip.doubt.startswith("Is it 1.5 g? The school's scale shows g, and you chose dwt.")
    day.course.school.weight_unit = "dwt"
    assert WaxForm(day=day)["unit"].value() == "dwt"
    slip, fair = form_of(day, weight="1.5"), form_of(day, weight="1.5", unit="dwt")
    assert slip.is_valid() and slip.doubt.startswith("Is it 1.5 dwt?")
    assert fair.is_valid() and not fair.doubt


# The block of 22 x 8 x 33 mm is 5.808 ml of carving wax, 0.96: 5.58 g, and 5 % more may be weighed: 5.85 g. Its
# thinnest sheet is 22 x 8 x 0.5 mm: 0.0845 g. A pennyweight is 1.555 g (NIST Handbook 44, App. C).
@pytest.mark.parametrize(
    ("weight", "unit", "asked"),
    [
        ("4.35", "dwt", "Or was it 4.35 g?"),  # 6.77 g is too much, 4.35 g fits
        ("12", "dwt", None),  # 18.7 g is too much, and so are 12 g
        ("6", "g", None),  # 6 g is too much, 9.3 g the more so
        ("0.06", "g", "Or was it 0.06 dwt?"),  # a sheet weighs more, and less than 0.093 g
        ("0.04", "g", None),  # 0.062 g would still be less than the sheet
        ("3.2", "g", None),
    ],
)
def test_a_weight_that_does_not_fit_is_asked_about_in_the_other_unit_if_that_fits(day, weight, unit, asked):
    form = WaxForm(typed(day, weight=weight, unit=unit), day=day)
    form.is_valid()
    said = " ".join([*form.errors.get("weight", []), form.doubt])
    assert ("Or was it" in said) is (asked is not None) and (asked is None or asked in said)
