"""The forms of a casting day."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from casting.forms import own_bench, own_hours, used_today
from casting.models import Alloy, CastingDay
from casting.services.days import COLUMNS, DayEntry
from school.models import Course, Person, School

DATE = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
TIME = {"type": "time"}
TIME_FORMAT = "%H:%M"
FARTHEST = timedelta(days=731)
"""A pour more than two years ahead is a typing error in the year."""

OFFERED = ("pour_on", "pour_time", "opens", "closes", "hand_in_until", "all_sizes", "all_kilns", *own_bench.NAMES)
"""The fields that an offered change may fill in."""

LABEL = r"^[A-Za-z0-9]{1,3}\Z"


def instant(day: date, at: time, zone: ZoneInfo) -> datetime:
    """The instant of a local time; refused if the clocks skip it or show it twice."""
    first, second = (datetime.combine(day, at).replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1))
    if first > second:
        sentence = gettext("On %(day)s there is no %(at)s: the clocks go forward over it. Take a time before or after.")
    elif first < second:
        sentence = gettext(
            "On %(day)s the clocks show %(at)s twice: they go back over it. Take a time before or after."
        )
    else:
        return first
    raise ValidationError(sentence % {"day": day.isoformat(), "at": f"{at:%H:%M}"})


def as_typed(day: CastingDay, zone: ZoneInfo) -> dict[str, Any]:
    """An announced day as its teacher typed it, on the school's clock."""
    typed: dict[str, Any] = {"alloys": day.alloys.all(), "hand_in_until": day.hand_in_until}
    typed |= {"opens": day.opens, "closes": day.closes, "gloss_off_min": day.gloss_off_min}
    typed |= own_hours.as_typed(day.own_hours, day.pour_at.astimezone(zone).date()) | {"on_call": day.on_call}
    typed |= used_today.as_typed(day) | own_bench.as_typed(day)
    pairs = (("pour_on", "pour_time", day.pour_at), ("closes_on", "closes_time", day.hand_in_closes_at))
    for on, at, moment in pairs:
        local = moment.astimezone(zone) if moment else None
        typed |= {on: local.date() if local else None, at: local.time() if local else None}
    return typed


def _filled_in(offered: QueryDict) -> dict[str, Any]:
    """What an offered change fills in; a part of the equipment of which some are named is not all of it."""
    found: dict[str, Any] = {name: offered[name] for name in OFFERED if name in offered}
    for part in used_today.PARTS:
        if part.some in offered:
            found |= {part.all: False, part.some: offered.getlist(part.some)}
    return found


class InvestedAtForm(forms.Form):
    """When a flask was invested, on the school's clock."""

    at = forms.DateTimeField(
        input_formats=["%Y-%m-%dT%H:%M"],
        error_messages={
            "required": _("Write the day and the time it was invested."),
            "invalid": _("That is no day and time. Write it as in 2027-03-13T15:20."),
        },
    )

    def __init__(self, data: QueryDict, zone: ZoneInfo) -> None:
        super().__init__(data)
        self.zone = zone

    def clean_at(self) -> datetime:
        """The instant; refused if the clocks skip it or show it twice."""
        typed: datetime = self.cleaned_data["at"]
        return instant(typed.date(), typed.time(), self.zone)


class PouredAtForm(InvestedAtForm):
    """When a flask was poured, on the school's clock."""

    at = forms.DateTimeField(
        input_formats=["%Y-%m-%dT%H:%M"],
        error_messages={
            "required": _("Write the day and the time it was poured."),
            "invalid": _("That is no day and time. Write it as in 2027-03-14T10:08."),
        },
    )


def usual_of(school: School) -> dict[str, Any]:
    """What a new day takes from its school: when somebody is there, and who is on call."""
    return {name: getattr(school, name) for name in ("opens", "closes", "on_call")}


def as_before(like: CastingDay | None, zone: ZoneInfo) -> dict[str, Any]:
    """What a new day takes from another: all but its date, its waxes, its measured mix and the hours of single days."""
    if like is None:
        return {}
    same = {name: getattr(like, name) for name in ("opens", "closes", "hand_in_until", "on_call")}
    pour_time = like.pour_at.astimezone(zone).time()
    return same | used_today.as_typed(like) | {"pour_time": pour_time, "alloys": like.alloys.all()}


class DayForm(forms.Form):
    """A casting day: a new one, filled in from one `like` it, or with `day` one that is announced, in its class."""

    course = forms.ModelChoiceField(
        queryset=Course.objects.none(), label=_("Class"), error_messages={"required": _("Choose the class.")}
    )
    pour_on = forms.DateField(
        label=_("Day of the pour"), widget=DATE, error_messages={"required": _("Choose the day.")}
    )
    pour_time = forms.TimeField(
        label=_("First pour"),
        widget=forms.TimeInput(attrs=TIME, format=TIME_FORMAT),
        help_text=_("On the school's clock."),
        error_messages={"required": _("Write the time of the first pour.")},
    )
    alloys = forms.ModelMultipleChoiceField(
        queryset=Alloy.objects.none(),
        label=_("Metals offered"),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _("Offer at least one metal.")},
    )
    closes_on = forms.DateField(
        label=_("Hand-in closes on"),
        widget=DATE,
        required=False,
        help_text=_("Leave both empty to close it yourself."),
    )
    closes_time = forms.TimeField(label=_("at"), widget=forms.TimeInput(attrs=TIME, format=TIME_FORMAT), required=False)
    opens = forms.TimeField(
        label=_("Studio opens"),
        widget=forms.TimeInput(attrs=TIME, format=TIME_FORMAT),
        required=False,
        help_text=_(
            "When somebody is there. Mixing and loading are kept inside; the plan says what else falls outside, and "
            "what it needs."
        ),
    )
    closes = forms.TimeField(
        label=_("Studio closes"), widget=forms.TimeInput(attrs=TIME, format=TIME_FORMAT), required=False
    )
    hand_in_until = forms.TimeField(
        label=_("Take waxes at least until"),
        widget=forms.TimeInput(attrs=TIME, format=TIME_FORMAT),
        required=False,
        help_text=_(
            "A time on the day before the pour. If the longest firing leaves no time for it, shorter firings are tried."
        ),
    )

    on_call = forms.CharField(
        label=_("On call in the kiln night: name and telephone"),
        required=False,
        max_length=120,
        help_text=_("Somebody who can be there soon. Empty: whom the school's safety record names."),
    )
    gloss_off_min = forms.FloatField(
        label=_("Gloss gone after, minutes"),
        required=False,
        min_value=1,
        max_value=60,
        localize=True,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "size": "5"}),
        help_text=_(
            "Measured on the day's first bowl, from powder into water. Sooner than the powder's record counts."
        ),
        error_messages={
            "invalid": _("Write minutes, like 8.5."),
            "min_value": _("A mix never sets within a minute. Write minutes, like 8.5."),
            "max_value": _("Write minutes from powder into water, 60 at most."),
        },
    )

    def __init__(
        self,
        data: QueryDict | None,
        *,
        person: Person,
        day: CastingDay | None = None,
        like: CastingDay | None = None,
        offered: QueryDict | None = None,
    ) -> None:
        assert person.school is not None
        self.zone, self.day = person.school.tz, day
        self.filled_in = _filled_in(offered) if day and offered else {}
        typed = as_typed(day, self.zone) if day else usual_of(person.school) | as_before(like, self.zone)
        super().__init__(data, initial=typed | self.filled_in)
        self.fields |= own_hours.own_fields() | used_today.used_fields(person.school, day or like)
        for name, rows in (("course", Course.objects.of(person)), ("alloys", Alloy.objects.at(person.school))):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)
            field.queryset = rows
        if day:
            del self.fields["course"]
            self.fields |= own_bench.bench_fields(day)
            return
        del self.fields["gloss_off_min"]  # nothing is mixed before its day is announced
        classes = list(Course.objects.of(person)[:2])
        if len(classes) == 1:
            self.fields["course"].initial = classes[0]
        elif like:
            self.fields["course"].initial = like.course
        if like is None:  # what the school says that its classes may cast
            self.fields["alloys"].initial = Alloy.objects.at(person.school)

    def clean(self) -> dict[str, Any]:
        """Turn local times into instants; an impossible day is refused."""
        found = self.cleaned_data
        pour_at = self._instant("pour_on", "pour_time")
        closes_at = self._closing()
        self._order(pour_at, closes_at)
        found["own_hours"] = own_hours.read_own(self, found.get("pour_on"))
        found |= used_today.read_used(self, self.day)
        self._hours()
        found |= {name: found.get(name) for name in ("gloss_off_min", *own_bench.NAMES)}
        return found | {"pour_at": pour_at, "hand_in_closes_at": closes_at}

    def full_labels(self) -> dict[str, Any]:
        """Return what fields are called apart from their neighbours on the page."""
        parts = {name: part.legend for part in used_today.PARTS for name in (part.some, part.all)}
        return {"closes_time": gettext("Hand-in closes at")} | own_hours.full_labels() | parts

    def own_rows(self) -> list[tuple[Any, ...]]:
        """The fields of each day with hours of its own after what it is called, for the page."""
        return list(own_hours.rows_of(self))

    def used_rows(self) -> Iterator[tuple[forms.BoundField, forms.BoundField]]:
        """The fields of flask sizes and kilns, for the page."""
        return used_today.rows_of(self)

    def entry(self) -> DayEntry:
        """The day as it was understood; the form must be valid."""
        return DayEntry(**{name: self.cleaned_data[name] for name in ("alloys", *COLUMNS)})

    def _order(self, pour_at: datetime | None, closes_at: datetime | None) -> None:
        """Refuse a pour or a closing that is past, too far ahead or in the wrong order."""
        now = timezone.now()
        if pour_at and pour_at <= now and not (self.day and pour_at == self.day.pour_at):
            self.add_error("pour_on", gettext("That pour is past. Choose a day to come."))
        elif pour_at and pour_at > now + FARTHEST:
            self.add_error("pour_on", gettext("That pour is more than two years ahead. Look at the year again."))
        if pour_at and closes_at and closes_at >= pour_at:
            self.add_error("closes_on", gettext("Hand-in would close after the first pour. Close it earlier."))
        elif closes_at and closes_at <= now and not (self.day and closes_at == self.day.hand_in_closes_at):
            self.add_error("closes_on", gettext("Hand-in would be closed already. Close it later, or by hand."))

    def _hours(self) -> None:
        """Refuse hours that are incomplete, backwards or begin after the first pour."""
        found = self.cleaned_data
        opens, closes, pour_time = (found.get(name) for name in ("opens", "closes", "pour_time"))
        if bool(opens) != bool(closes):
            self.add_error("closes", gettext("Give both, when the studio opens and when it closes, or neither."))
        elif opens and opens >= closes:
            self.add_error("closes", gettext("The studio must close later than it opens."))
        self._pour_in_hours(opens, pour_time)
        until = found.get("hand_in_until")
        if until and not opens:
            self.add_error("opens", gettext("Waxes are taken within the studio's hours: give those too."))
        elif until and closes and not opens <= until <= closes:
            self.add_error("hand_in_until", gettext("Waxes are taken within the studio's hours: give a time in them."))

    def _pour_in_hours(self, opens: time | None, pour_time: time | None) -> None:
        """Refuse hours of single days without the usual ones, and a first pour for which nobody is there."""
        own, pour_on = self.cleaned_data["own_hours"], self.cleaned_data.get("pour_on")
        if own and not opens and "opens" not in self.errors:
            self.add_error("opens", gettext("Give the usual hours too: they count on all other days."))
        today = own.get(pour_on.isoformat(), ()) if pour_on else ()
        if today is None:
            self.add_error("pour_on", gettext("Nobody is there on the day of the pour. Pour on another day."))
            return
        first = time.fromisoformat(today[0]) if today else opens
        if first and pour_time and pour_time < first:
            self.add_error("pour_time", gettext("The first pour would be before the studio opens. Pour later."))

    def _closing(self) -> datetime | None:
        given = [bool(self.cleaned_data.get(name)) for name in ("closes_on", "closes_time")]
        if any(given) and not all(given) and not {"closes_on", "closes_time"} & set(self.errors):
            self.add_error("closes_time", gettext("Give both, the day and the time, or neither."))
        return self._instant("closes_on", "closes_time") if all(given) else None

    def _instant(self, day: str, at: str) -> datetime | None:
        if not (self.cleaned_data.get(day) and self.cleaned_data.get(at)):
            return None
        try:
            return instant(self.cleaned_data[day], self.cleaned_data[at], self.zone)
        except ValidationError as wrong:
            self.add_error(at, wrong)
            return None


class HoldForm(forms.Form):
    """The flask that a wax is held to; empty lets it go."""

    label = forms.RegexField(
        LABEL,
        required=False,
        strip=True,
        error_messages={"invalid": _("a flask's label is one to three of A to Z and 0 to 9, as B or C2.")},
    )

    def clean_label(self) -> str:
        """The label in capitals, as it is written on the flask."""
        return str(self.cleaned_data["label"]).upper()
