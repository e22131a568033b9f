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
    # Half a ring 22 mm across, 8 mm wide and 1.2 mm thick, 0.96: pi / 2 x 20.8 x 8 x 1.2 = 313.7 mm3, 0.3011 g.
    light, heavier = form_of(day, weight="0.30"), form_of(day, weight="0.31")
    assert light.is_valid() and light.doubt.startswith(
        "0.30\u202fg is very little for that size: half a ring 22 mm across"
    )
    assert heavier.is_valid() and not heavier.doubt


def test_a_light_wax_is_measured_by_the_thinnest_part_that_was_chosen(day):
    # A ring by its figures, 22 x 6 x 32 mm: half of it is pi / 2 x (22 - wall) x 6 x wall x 0.96 / 1000.
    for thin, doubted, taken in (
        ({"section": "medium"}, "0.185", "0.23"),  # 1.2 mm: 0.2258 g
        ({"section": "very_thin"}, "0.09", "0.098"),  # 0.5 mm: 0.0973 g
        ({"section": "", "thinnest_mm": "2"}, "0.36", "0.37"),  # 2 mm as measured: 0.3619 g
    ):
        ring = {"width_mm": "22", "depth_mm": "6", "height_mm": "32"} | thin
        light, fair = form_of(day, weight=doubted, **ring), form_of(day, weight=taken, **ring)
        assert light.is_valid() and "is very little for that size" in light.doubt, thin
        assert fair.is_valid() and not fair.doubt, thin


def test_a_thinnest_part_in_mm_is_its_section_and_never_a_second_truth(day):
    for thinnest, section, read, said in (
        ("1.6", "", "medium", ""),
        ("0,7", "", "very_thin", ""),
        ("0.8", "thin", "thin", ""),
        ("1.6", "thin", "thin", "1.6 mm counts as medium, 1.2 to 2.5 mm. Choose that above, or clear this."),
        ("", "", None, ""),
    ):
        form = form_of(day, thinnest_mm=thinnest, section=section)
        assert form.is_valid() == bool(read and not said) and form.cleaned_data.get("section") == read
        assert form.errors.get("thinnest_mm", [""])[0] == said
        assert ("section" in form.errors) == (read is None)


def test_a_thinnest_part_is_measured_in_inches_where_the_school_does(day):
    day.course.school.length_unit = "in"
    form = form_of(day, width_mm="7/8", depth_mm="0.315", height_mm="1.3", thinnest_mm="1/16", section="")
    # 1/16 in is 1.5875 mm
    assert form.is_valid() and form.entry().section == "medium"


def test_questions_are_asked_one_by_one_and_each_answered_for_these_figures_alone(day, student):
    light = {"weight": "0.1", "width_mm": "33", "depth_mm": "8", "height_mm": "22"}
    asked = []
    seen = ""
    for _nth in range(3):
        form = form_of(day, seen=seen, **light)
        assert form.preview(student)
        asked.append(form.doubt)
        seen = form.seen
    assert "very little" in asked[0] and asked[1].startswith("It is 33 mm across and 22 mm tall.") and not asked[2]
    typing = form_of(day, seen=seen.replace("_3", "_2"), preview="1", **light)
    assert typing.preview(student) and typing.doubt == asked[1]
    for mark in (seen.replace("_3", "_x"), "_9", "9" * 40):
        other = form_of(day, seen=mark, **light)
        assert other.preview(student) and other.doubt == asked[0]
    named = form_of(day, seen=seen, **light, what="another name")
    assert named.preview(student) and not named.doubt
    lighter = form_of(day, seen=seen, **(light | {"weight": "0.11"}))
    assert lighter.preview(student) and lighter.doubt


def test_the_figures_are_enough_while_it_is_typed_and_not_to_save_it(day, student):
    typing = form_of(day, what="", height_mm="190", preview="1")
    assert typing.preview(student).left_out and typing.doubt == "Is that its size? Look for a slipped comma."
    assert form_of(day, what="", height_mm="190").preview(student) is None
    assert form_of(day, section="", preview="1").preview(student) is None


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
    assert slip.is_valid() and slip.doubt == "The school's scale shows g, and you chose dwt. Is it 1.5 dwt?"
    day.course.school.weight_unit = "dwt"
    assert WaxForm(day=day)["unit"].value() == "dwt"
    slip, fair = form_of(day, weight="1.5"), form_of(day, weight="1.5", unit="dwt")
    assert slip.is_valid() and slip.doubt.endswith("Is it 1.5 g?")
    assert fair.is_valid() and not fair.doubt


def test_a_weight_that_does_not_fit_is_asked_about_in_the_other_unit_if_that_fits(day):
    # The block of 22 x 8 x 33 mm is 5.808 ml of carving wax, 0.96: 5.58 g, and 5 % more may be weighed: 5.85 g. Half a
    # ring of 1.2 mm in it is 0.3011 g. A pennyweight is 1.555 g (NIST Handbook 44, App. C).
    for weight, unit, asked in (
        ("4.35", "dwt", "If the scale showed g, choose g."),  # 6.77 g is too much, 4.35 g fits
        ("12", "dwt", ""),  # 18.7 g is too much, and so are 12 g
        ("6", "g", ""),  # 6 g is too much, 9.3 g the more so
        ("0.2", "g", ""),  # 0.311 g fits, but 2 g is likelier on a scale in g
        ("3.2", "g", ""),
    ):
        form = form_of(day, weight=weight, unit=unit)
        form.is_valid()
        said = " ".join([*form.errors.get("weight", []), form.doubt])
        assert ("If the scale showed" in said) == bool(asked) and asked in said
        assert not asked or "slipped comma" not in said


def test_a_light_weight_in_another_unit_than_the_scale_s_is_asked_about_in_that_unit(day):
    # 0.2 dwt are 0.311 g and 0.04 dwt 0.062 g; half a ring of that size weighs 0.3011 g
    day.course.school.weight_unit = "dwt"
    for weight, asked in (("0.2", "If the scale showed dwt, choose dwt."), ("0.04", "comma")):
        form = form_of(day, weight=weight)
        assert form.is_valid() and asked in form.doubt and len(form.doubts) == 1


def test_who_weighed_the_wax_alone_is_not_sent_to_the_base(day):
    for on_base, base in (("no", ""), ("yes", "12")):
        said = form_of(day, weight="60", on_base=on_base, base=base).errors["weight"][0]
        assert ("weigh it without the base" in said) == (on_base == "yes")
