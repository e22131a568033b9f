"""Fields that several forms share: codes, names, and names in letters that papers print."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from school.join import read_code
from school.names import tidy_name, tidy_spelling

CODE_WIDGET = {"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false", "maxlength": "20"}


class CodeField(forms.CharField):
    """A code in any case, with or without gaps."""

    def __init__(self, length: int, **kwargs: Any) -> None:
        super().__init__(max_length=20, widget=forms.TextInput(attrs=CODE_WIDGET), **kwargs)
        self.length = length

    def clean(self, value: Any) -> str:
        """Return the code as it is stored."""
        code = read_code(super().clean(value))
        if len(code) != self.length:
            raise forms.ValidationError(
                _("The code has %(length)s letters and digits."), code="length", params={"length": self.length}
            )
        return code


class NameField(forms.CharField):
    """A person's name in any script."""

    def __init__(self, **kwargs: Any) -> None:
        attrs = {"autocomplete": "name", "dir": "auto", "autocapitalize": "words", "spellcheck": "false"}
        super().__init__(max_length=400, widget=forms.TextInput(attrs=attrs), **kwargs)

    def clean(self, value: Any) -> str:
        """Return the name without control characters and needless spaces."""
        return tidy_name(super().clean(value))


class SpelledField(forms.CharField):
    """A name in letters that papers print, for one that they cannot; it may stay empty."""

    def __init__(self) -> None:
        attrs = {"autocomplete": "off", "dir": "auto", "autocapitalize": "words", "spellcheck": "false"}
        super().__init__(
            max_length=400,
            required=False,
            widget=forms.TextInput(attrs=attrs),
            label=_("How do you spell it in letters that our papers print?"),
            help_text=_(
                "In Latin letters, for example. You may leave it empty: then papers print a box for each letter."
            ),
        )

    def clean(self, value: Any) -> str:
        """Return the name, tidied; refuse one that papers cannot print either."""
        return tidy_spelling(super().clean(value))
