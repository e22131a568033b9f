"""Fields that several forms share: codes, names, and names in letters that papers print."""

from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from school.join import read_code
from school.models import Person
from school.names import tidy_name, tidy_spelling
from school.zones import read_zone

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

    def __init__(self, **kwargs: Any) -> None:
        attrs = {"autocomplete": "off", "dir": "auto", "autocapitalize": "words", "spellcheck": "false"}
        words = {
            "label": _("How do you spell it in letters that our papers print?"),
            "help_text": _(
                "In Latin letters, for example. You may leave it empty: then papers print a box for each letter."
            ),
        }
        super().__init__(max_length=400, required=False, widget=forms.TextInput(attrs=attrs), **words | kwargs)

    def clean(self, value: Any) -> str:
        """Return the name, tidied; refuse one that papers cannot print either."""
        return tidy_spelling(super().clean(value))


class ZoneField(forms.CharField):
    """A time zone, chosen from the browser's own searchable list or written by hand."""

    def __init__(self, **kwargs: Any) -> None:
        attrs = {"list": "zones", "autocomplete": "off", "spellcheck": "false", "autocapitalize": "none"}
        super().__init__(
            max_length=60,
            widget=forms.TextInput(attrs=attrs),
            label=_("Time zone"),
            help_text=_("Write the nearest large city, then choose from the list: Denver finds America/Denver."),
            error_messages={"required": _("Choose the time zone: every hour on screens and papers is told in it.")},
            **kwargs,
        )

    def clean(self, value: Any) -> str:
        """Return the zone's own name."""
        return read_zone(super().clean(value))


class SignInNameField(forms.CharField):
    """The name by which somebody signs in, in small letters."""

    def __init__(self, **kwargs: Any) -> None:
        attrs = {"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}
        super().__init__(
            max_length=254,
            widget=forms.TextInput(attrs=attrs),
            error_messages={"required": _("Write your sign-in name.")},
            **kwargs,
        )

    def clean(self, value: Any) -> str:
        """Return the name; refuse one that somebody has."""
        name = tidy_name(super().clean(value)).casefold()
        if Person.objects.filter(sign_in=name).exists():
            sentence = _("“%(name)s” is taken. Choose another sign-in name.")
            raise ValidationError(sentence, code="taken", params={"name": name})
        return name


class PasswordField(forms.CharField):
    """A password, never sent back to the page."""

    def __init__(self, autocomplete: str = "new-password", **kwargs: Any) -> None:
        widget = forms.PasswordInput(attrs={"autocomplete": autocomplete})
        super().__init__(max_length=200, strip=False, widget=widget, **kwargs)


class NewPassword(forms.Form):
    """A new password, written twice and checked against the names of whom it is for."""

    password = PasswordField(
        label=_("Password"),
        help_text=_("Ten characters or more. Several words are easy to remember and hard to guess."),
        error_messages={"required": _("Write a password.")},
    )
    again = PasswordField(
        label=_("The same password again"), error_messages={"required": _("Write the password again.")}
    )

    def whose(self) -> Person:
        """Return whom the password is for, as far as the form knows; no row."""
        return Person(sign_in=self.cleaned_data.get("sign_in", ""), name=self.cleaned_data.get("name", ""))

    def clean(self) -> None:
        """Refuse a password that is weak or was not written twice alike."""
        password, again = self.cleaned_data.get("password"), self.cleaned_data.get("again")
        if not password:
            return
        try:
            validate_password(password, self.whose())
        except ValidationError as refusal:
            self.add_error("password", refusal)
            return
        if again and again != password:
            self.add_error("again", _("The two passwords differ. Write the same one twice."))
