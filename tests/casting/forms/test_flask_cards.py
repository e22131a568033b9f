"""The form for sheets of flask cards."""

import pytest

from casting.forms.flask_cards import SheetForm

LABELS = "a4-2x4-apart"
"""Eight labels of 92 x 60 mm on A4, from 11 mm left and 25 mm down, 4 and 2 mm apart."""


def form_of(**typed):
    return SheetForm({"stock": LABELS, **typed}, paper="A4")


@pytest.mark.parametrize(("typed", "moved_mm"), [("", 0.0), ("0.5", 0.5), ("-0,5", -0.5), ("\N{MINUS SIGN}1", -1.0)])
def test_a_nudge_is_tenths_of_a_millimetre_either_way(typed, moved_mm):
    form = form_of(x=typed)
    assert form.is_valid() and form.cleaned_data["x"] == moved_mm


@pytest.mark.parametrize(
    ("typed", "said"), [("0.55", "finer than a printer"), ("left", "not a number"), ("9", "too far")]
)
def test_a_nudge_that_no_printer_needs_is_refused(typed, said):
    assert said in str(form_of(x=typed).errors["x"])


@pytest.mark.parametrize(("used", "valid"), [("", True), ("7", True), ("8", False), ("-1", False)])
def test_a_sheet_of_eight_has_at_most_seven_used(used, valid):
    assert form_of(used=used).is_valid() is valid


def test_plain_paper_has_no_labels_used_and_no_nudge():
    form = SheetForm({"stock": "", "used": "3", "x": "0.5"}, paper="A4")
    assert form.is_valid() and form.sheet is None
    assert (form.cleaned_data["used"], form.cleaned_data["x"], form.cleaned_data["y"]) == (0, 0.0, 0.0)


def test_a_sheet_of_other_paper_is_not_offered():
    assert "stock" in SheetForm({"stock": LABELS}, paper="Letter").errors
