"""The forms by which people join, come back, sign in and open a class."""

import datetime as dt
import uuid
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from school.join import CLASS_CODE_LENGTH, RETURN_CODE_LENGTH, read_code
from school.models import School
from school.names import tidy_name, tidy_spelling, unprinted_letters

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


class CourseForm(forms.Form):
    """A new class, and the last day on which students may join it."""

    name = forms.CharField(
        label=_("Name of the class"),
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "off", "dir": "auto"}),
        error_messages={"required": _("Give the class a name.")},
    )
    last_day = forms.DateField(
        label=_("Last day to join"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"required": _("Say until when people may join.")},
    )

    def __init__(self, *args: Any, school: School, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.school = school

    def clean_name(self) -> str:
        """Refuse the name of another class."""
        name = tidy_name(self.cleaned_data["name"])
        if self.school.courses.filter(name=name).exists():
            raise forms.ValidationError(_("There is a class of that name already."), code="taken")
        return name

    def clean_last_day(self) -> dt.date:
        """Refuse a day that is over in the school's time zone."""
        last_day: dt.date = self.cleaned_data["last_day"]
        if not timezone.localdate(timezone=self.school.tz) <= last_day <= dt.date(2999, 12, 31):
            raise forms.ValidationError(_("That day is over; choose today or later."), code="past")
        return last_day

    def open_until(self) -> dt.datetime:
        """Return the midnight that ends the last day, in the school's time zone."""
        day_after: dt.date = self.cleaned_data["last_day"] + dt.timedelta(days=1)
        return dt.datetime.combine(day_after, dt.time(), tzinfo=self.school.tz)
