"""The form by which a first teacher makes a school, and the one by which somebody comes to a school."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from school.forms.fields import NameField, NewPassword, SignInNameField, ZoneField
from school.founding import Founding
from school.names import tidy_name

SCHOOL_NAME_MOST = 120


class NewcomerForm(NewPassword):
    """Who somebody is, how they sign in, and their password."""

    name = NameField(
        label=_("Your name"),
        help_text=_("It stands on your school's screens and papers."),
        error_messages={"required": _("Write your name.")},
    )
    sign_in = SignInNameField(
        label=_("Sign-in name or email"), help_text=_("What you write to sign in. Small and capital letters are alike.")
    )
    field_order: tuple[str, ...] = ("name", "sign_in", "password", "again")


class FirstTeacherForm(NewcomerForm):
    """A school's name and time zone, and its first teacher."""

    school = forms.CharField(
        label=_("Name of the school"),
        max_length=SCHOOL_NAME_MOST,
        widget=forms.TextInput(attrs={"autocomplete": "organization", "dir": "auto"}),
        help_text=_("As it stands on papers and posters."),
        error_messages={"required": _("Give the school its name.")},
    )
    zone = ZoneField()
    field_order = ("school", "zone", "name", "sign_in", "password", "again")

    def clean_school(self) -> str:
        """Return the name without control characters and needless spaces."""
        return tidy_name(self.cleaned_data["school"])

    def founding(self) -> Founding:
        """Return what was said, as the service takes it."""
        said: dict[str, Any] = self.cleaned_data
        return Founding(said["school"], said["zone"], said["name"], said["sign_in"], said["password"])
