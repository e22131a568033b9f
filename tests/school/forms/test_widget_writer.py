"""Widgets written by Python are those of Django's own templates, but for the white space between tags."""

import re

import pytest
from django import forms
from django.forms.renderers import TemplatesSetting
from django.utils.safestring import mark_safe
from django.utils.translation import gettext_lazy

from school.forms.widget_writer import HOME, WRITERS, WidgetWriter

NASTY = """a "b" 'c' <d> & é"""
CHOICES = [("", gettext_lazy("Weight")), (1, NASTY), ("<2>", mark_safe("&nbsp;")), ("Group", [("3", "three"), (4, 4)])]
SEEN = {"dir": "auto", "required": True, "disabled": False, "data-x": NASTY, "aria-label": gettext_lazy("Weight")}
WIDGETS = [
    *(kind(SEEN) for kind in (forms.TextInput, forms.NumberInput, forms.HiddenInput, forms.EmailInput)),
    *(kind(SEEN) for kind in (forms.PasswordInput, forms.CheckboxInput, forms.Textarea, forms.DateInput)),
    *(kind(SEEN, CHOICES) for kind in (forms.Select, forms.SelectMultiple, forms.RadioSelect)),
]
VALUES = [None, "", "1", NASTY, True, mark_safe("<b>"), gettext_lazy("Weight")]


def tight(page):
    return re.sub(r"(?<=>)\s+|\s+(?=<(?!/textarea))", "", str(page))


@pytest.mark.parametrize("widget", WIDGETS, ids=lambda one: type(one).__name__)
@pytest.mark.parametrize("value", VALUES, ids=repr)
def test_a_widget_is_that_of_its_template(widget, value):
    drawn = [widget.render("some[name]", value, SEEN, how()) for how in (WidgetWriter, TemplatesSetting)]
    assert tight(drawn[0]) == tight(drawn[1]) and all(hasattr(one, "__html__") for one in drawn)


def test_each_choice_by_itself_is_that_of_its_template():
    class Asked(forms.Form):
        one = forms.ChoiceField(choices=CHOICES[:3], widget=forms.RadioSelect)
        many = forms.MultipleChoiceField(choices=CHOICES[:3], widget=forms.CheckboxSelectMultiple)

    written, by_template = (
        [radio.tag() for name in ("one", "many") for radio in Asked({"one": "1"}, renderer=how())[name]]
        for how in (WidgetWriter, TemplatesSetting)
    )
    assert [tight(one) for one in written] == [tight(one) for one in by_template] and len(written) == 6


def test_every_template_that_it_stands_for_is_django_s():
    for name in WRITERS:
        assert name.startswith(HOME) and TemplatesSetting().get_template(name)
