"""Where a whole number is typed."""

from __future__ import annotations

from django import forms


def whole_number() -> forms.TextInput:
    """Return where a count is typed: a browser's number box hands in nothing for what it cannot read."""
    return forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
