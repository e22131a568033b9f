"""A form for looks alone: a field of each kind, as the page of elements shows them fresh and refused."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _


class EveryField(forms.Form):
    """A field of each kind; nothing of it is ever saved."""

    name = forms.CharField(label=_("Name"), help_text=_("One line, said before the box."))
    weight = forms.DecimalField(label=_("Weight"), widget=forms.TextInput(attrs={"inputmode": "decimal"}))
    metal = forms.ChoiceField(label=_("Metal"), choices=[("", _("choose")), ("thin", _("thin"))])
    day = forms.DateField(label=_("Date"), widget=forms.DateInput(attrs={"type": "date"}), required=False)
    note = forms.CharField(label=_("Reason"), widget=forms.Textarea(attrs={"rows": 2}), required=False)
    file = forms.FileField(label=_("Or a CSV file"), required=False)
    thin = forms.ChoiceField(
        label=_("Thinnest part"),
        choices=[("thin", _("thin")), ("medium", _("medium")), ("heavy", _("heavy"))],
        widget=forms.RadioSelect,
    )
