"""The widget for a whole number."""

from __future__ import annotations

from django import forms


def whole_number() -> forms.TextInput:
    """Return a text box for a whole number: a browser's number box posts nothing for text it cannot read."""
    return forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
