"""The forms of a new class and of a student's name."""

import datetime as dt
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from school.forms.fields import NameField, SpelledField
from school.models import School
from school.names import tidy_name


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


class StudentForm(forms.Form):
    """A student's name as the teacher writes it, and how papers spell it."""

    called = NameField(
        label=_("Name"),
        help_text=_("Two of one name are told apart by a number or a letter: Ana M., Ana (2)."),
        error_messages={"required": _("Write the name.")},
    )
    spelled = SpelledField(
        label=_("Spelled for the papers"),
        help_text=_("Only if our papers lack letters of the name, as of Chinese, Japanese or Korean ones."),
    )
