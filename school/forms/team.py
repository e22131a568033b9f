"""The forms by which people are invited, and by which somebody changes their own name and password."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from school.forms.fields import NameField, NewPassword, PasswordField, SpelledField
from school.models import Language, Person, Role


class InviteForm(forms.Form):
    """Whom to invite, and as what."""

    name = NameField(
        label=_("Whom do you invite?"),
        help_text=_("So that you know whose link it is. They write their name themselves."),
        error_messages={"required": _("Write whom the link is for.")},
    )
    role = forms.ChoiceField(
        label=_("As what?"),
        choices=[
            (Role.TEACHER, _("teacher: plans, and changes everything")),
            (Role.HELPER, _("helper: ticks, weighs and prints, plans nothing")),
        ],
        initial=Role.HELPER,
        widget=forms.RadioSelect,
        error_messages={"required": _("Say whether they come as a teacher or as a helper.")},
    )


class MyNameForm(forms.Form):
    """Somebody's own name, and how papers spell it."""

    name = NameField(label=_("Your name"), error_messages={"required": _("Write your name.")})
    spelled = SpelledField(
        label=_("Spelled for the papers"),
        help_text=_("Only if our papers lack letters of your name, as of Chinese, Japanese or Korean ones."),
    )


class MyLanguageForm(forms.Form):
    """The language in which somebody reads the site."""

    language = forms.ChoiceField(
        label=_("Language of the pages"),
        help_text=_("Bench papers stay in English; the safety handout and its supplement are there in both."),
        choices=[("", _("the browser's")), *Language.choices],
        required=False,
        widget=forms.RadioSelect,
    )


class MyPasswordForm(NewPassword):
    """A new password for somebody who knows the old one."""

    old = PasswordField(
        "current-password",
        label=_("Your password now"),
        error_messages={"required": _("Write the password that you sign in with now.")},
    )
    field_order = ("old", "password", "again")

    def __init__(self, data: Any = None, *, person: Person) -> None:
        super().__init__(data)
        self.person = person
        self.fields["password"].label = _("New password")

    def whose(self) -> Person:
        """Return whose password it is."""
        return self.person
