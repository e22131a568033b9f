"""What a student may wish for a wax beside its figures: a second-choice metal, and a note for the teacher."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from casting.forms.wax_fields import RowChoice
from school.names import tidy_text

NOTE_MOST = 200


class WishFields(forms.Form):
    """The boxes of a wish; both may stay empty."""

    second_alloy = RowChoice(
        label=_("Second-choice metal"),
        help_text=_("If your metal is not poured that day."),
        empty_label=_("none: only the metal I chose"),
        required=False,
        error_messages={"invalid_choice": _("Choose one of the metals offered.")},
    )
    note = forms.CharField(
        label=_("A note for your teacher"),
        help_text=_("At most 200 signs. A short one prints on the flask's card."),
        max_length=NOTE_MOST,
        required=False,
        widget=forms.TextInput(attrs={"dir": "auto", "autocomplete": "off"}),
        error_messages={
            "max_length": _("What you wrote has %(show_value)d signs, and 200 are the most. Make it shorter."),
        },
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # A browser cuts what is pasted to this length and says nothing.
        del self.fields["note"].widget.attrs["maxlength"]

    @property
    def has_wishes(self) -> bool:
        """Whether one of its boxes is filled in or wrong."""
        return any(self[name].value() or self[name].errors for name in ("second_alloy", "note"))

    def clean_note(self) -> str:
        """The note on one line, without signs that nobody sees."""
        return tidy_text(self.cleaned_data["note"])

    def check_second(self) -> None:
        """A second choice is another metal of the school's."""
        second = self.cleaned_data.get("second_alloy")
        if second is None:
            return
        if self.cleaned_data.get("own_metal"):
            self.add_error(
                "second_alloy",
                gettext("You bring your own metal, and a second choice is the school's. Choose none, or clear that."),
            )
        elif second == self.cleaned_data.get("alloy"):
            sentence = gettext("%(metal)s is your first choice too. Choose another metal, or none.")
            self.add_error("second_alloy", sentence % {"metal": second.name})
