"""A box for each sign that our fonts lack, and the note that says so."""

from django.template import Context, Template

from casting.calc.values.marked_text import FROM_MEMORY
from casting.papers.pdf.glyphs import BOX

SHEET = "{% load letters %}{% in_our_letters %}<p>{{ name }}</p><!-- lacking -->{% endin_our_letters %}"


def shown(name):
    return Template(SHEET).render(Context({"name": name}))


def test_plain_letters_need_no_note():
    assert shown("Łucja Öberg") == "<p>Łucja Öberg</p>"


def test_a_sign_without_a_letter_is_a_box_and_the_sheet_says_so():
    sheet = shown("ring \U0001f48d")
    assert f"<p>ring {BOX}" in sheet and "\U0001f48d" not in sheet
    assert f"{BOX}: a sign that this paper has no letter for." in sheet


def test_nobody_can_type_the_place_of_the_note():
    assert "&lt;!-- lacking" in shown("<!-- lacking -->")


def test_a_star_after_a_figure_is_explained_and_one_that_somebody_typed_is_not():
    place = "{% load letters %}{% in_our_letters %}<p>{{ name }}</p><!-- from memory -->{% endin_our_letters %}"
    noted = Template(place).render(Context({"name": f"538 C{FROM_MEMORY}"}))
    assert noted == "<p>538 C*</p>* from memory: check the supplier's sheet."
    assert Template(place).render(Context({"name": "ring *"})) == "<p>ring *</p>"
