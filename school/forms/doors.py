"""The forms by which people join, come back and sign in."""

import uuid
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from school.forms.fields import CodeField, NameField, SpelledField
from school.join import CLASS_CODE_LENGTH, RETURN_CODE_LENGTH
from school.names import unprinted_letters


class SpellingForm(forms.Form):
    """How a name is spelled for the papers."""

    spelled = SpelledField()


class ClassCodeForm(forms.Form):
    """The code of a class."""

    code = CodeField(
        CLASS_CODE_LENGTH,
        label=_("Class code"),
        help_text=_("Six letters and digits, on the wall of the studio."),
        error_messages={"required": _("Write the class code.")},
    )


class JoinForm(forms.Form):
    """A new student's name, spelled in other letters if papers lack some; the key identifies a resubmission."""

    key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4, required=False)
    called = NameField(
        label=_("What are you called?"),
        help_text=_("It stands beside your waxes, on your teacher's screen and on the papers."),
        error_messages={"required": _("Write the name you are called by.")},
    )
    spelled = SpelledField()
    who = forms.IntegerField(required=False, min_value=1, max_value=2**63 - 1, widget=forms.HiddenInput)
    new = forms.BooleanField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not self.missing:
            del self.fields["spelled"]

    @property
    def missing(self) -> str:
        """The letters of the typed name that papers cannot print, as a sentence names them."""
        return unprinted_letters(self.data.get("called", ""))

    @property
    def asks_more(self) -> bool:
        """Whether the spelling is still to be asked for: only where papers lack a letter of the name."""
        return "spelled" in self.fields and "spelled" not in self.data


class CameBackForm(ClassCodeForm):
    """The class, name and return code of a student who has joined before."""

    called = NameField(
        label=_("Your name"),
        help_text=_("As you wrote it when you joined."),
        error_messages={"required": _("Write the name you are called by.")},
    )
    return_code = CodeField(
        RETURN_CODE_LENGTH,
        label=_("Your return code"),
        help_text=_("Eight letters and digits. If it is lost, your teacher gives you a new one."),
        error_messages={"required": _("Write your return code.")},
    )


class SignInForm(forms.Form):
    """A teacher's sign-in name and password."""

    sign_in = forms.CharField(
        label=_("Sign-in name or email"),
        max_length=254,
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}),
        error_messages={"required": _("Write your sign-in name.")},
    )
    password = forms.CharField(
        label=_("Password"),
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        error_messages={"required": _("Write your password.")},
    )
