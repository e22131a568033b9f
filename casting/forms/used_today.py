"""The flask sizes and kilns that a day uses: all that the school works with, also what it adds later, or some."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from casting.models import CastingDay, FlaskSize, Kiln
from casting.models.shelf import ShelfRow
from school.models import School


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the equipment, and what its fields are called."""

    some: str
    all: str
    model: type[ShelfRow]
    legend: Any
    none: Any


PARTS = (
    Part(
        "sizes_used",
        "all_sizes",
        FlaskSize,
        _("Flask sizes used on this day"),
        _("Tick all, or at least one flask size."),
    ),
    Part("kilns_used", "all_kilns", Kiln, _("Kilns used on this day"), _("Tick all, or at least one kiln.")),
)
ALL = _("All that the school works with, also one that it adds later")


def used_fields(school: School, day: CastingDay | None) -> dict[str, forms.Field]:
    """Return the fields of each part of which the school has two or more, or of which the day uses some."""
    found: dict[str, forms.Field] = {}
    for part in PARTS:
        rows = list(part.model.objects.at(school).values_list("key", "name"))
        if len(rows) > 1 or (rows and day is not None and getattr(day, part.some) is not None):
            found[part.all] = forms.BooleanField(label=ALL, required=False, initial=True)
            found[part.some] = forms.MultipleChoiceField(
                label=part.legend,
                choices=rows,
                widget=forms.CheckboxSelectMultiple,
                required=False,
                initial=[key for key, _name in rows],
            )
    return found


def as_typed(day: CastingDay) -> dict[str, Any]:
    """Return what a day uses as its teacher ticked it; where that is all, the boxes of its parts stay ticked."""
    typed: dict[str, Any] = {}
    for part in PARTS:
        used = getattr(day, part.some)
        typed |= {part.all: used is None} | ({} if used is None else {part.some: used})
    return typed


def rows_of(form: forms.Form) -> Iterator[tuple[forms.BoundField, forms.BoundField]]:
    """Yield the two fields of each part that the form asks for, for the page: all, and some."""
    for part in PARTS:
        if part.some in form.fields:
            yield form[part.all], form[part.some]


def read_used(form: forms.Form, day: CastingDay | None) -> Mapping[str, list[str] | None]:
    """Return the keys of what the day uses, None for all; what cannot be is refused at its field."""
    found: dict[str, list[str] | None] = {}
    for part in PARTS:
        ticked = form.cleaned_data.get(part.some, [])
        found[part.some] = None if part.some not in form.fields or form.cleaned_data.get(part.all) else ticked
        if found[part.some] == [] and part.some not in form.errors:
            form.add_error(part.some, str(part.none))
    _keep_kilns_on(form, found["kilns_used"], day)
    return found


def _keep_kilns_on(form: forms.Form, used: list[str] | None, day: CastingDay | None) -> None:
    """Refuse to leave out a kiln that is noted as on."""
    if not used or day is None:
        return
    for kiln in Kiln.objects.at(day.course.school).filter(key__in=day.kilns_on().keys() - set(used)):
        sentence = gettext("%(kiln)s is noted as on. Leave it ticked, or undo that on the page Day plan.")
        form.add_error("kilns_used", sentence % {"kiln": kiln.name})
