"""The form of a class's roster."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from school.roster import MOST_ROWS, Unreadable, decoded, names_in

MOST_TYPED = 100_000
"""Characters; far more than names of 200 people have."""


class RosterForm(forms.Form):
    """Names typed or pasted one a line, or a file; `named` and `encoding` are what was read."""

    names = forms.CharField(
        label=_("Names, one a line"),
        required=False,
        max_length=MOST_TYPED,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 8, "dir": "auto", "spellcheck": "false", "autocomplete": "off"}),
        help_text=_("Type them, or paste a column of a spreadsheet. The name is all that is needed."),
    )
    file = forms.FileField(
        label=_("Or a CSV file"),
        required=False,
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,text/csv,text/plain"}),
        help_text=_("With a column “name”, or “first name” and “last name”; else its first column is read."),
    )
    named: list[tuple[int, str]]
    encoding = ""

    def clean(self) -> None:
        """Read the file if there is one, else what was typed."""
        said: dict[str, Any] = self.cleaned_data
        where, text = "names", said.get("names", "")
        try:
            if said.get("file"):
                where = "file"
                text, self.encoding = decoded(said["file"].read(MOST_TYPED + 1))
            self.named = names_in(text, from_file=where == "file")
        except Unreadable as refusal:
            self.add_error(where, refusal.sentence)

    @property
    def most(self) -> int:
        """How many names are read at a time."""
        return MOST_ROWS
