"""The hours of single days around a pour, where they are not the studio's usual ones."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, time, timedelta
from typing import Any

from django import forms
from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

OWN_DAYS = ((0, _("Day of the pour")), (1, _("Day before")), (2, _("Two days before")))
"""The days that nearly every plan touches, by how long they are before the pour."""

Own = dict[str, list[str] | None]


def own_fields() -> dict[str, forms.Field]:
    """Return the fields: from when until when somebody is there on each of the days, or that nobody is."""
    found: dict[str, forms.Field] = {}
    for nth, _called in OWN_DAYS:
        found[f"own{nth}_opens"] = _clock(_("from"))
        found[f"own{nth}_closes"] = _clock(_("until"))
        found[f"own{nth}_nobody"] = forms.BooleanField(label=_("Nobody is there"), required=False)
    return found


def full_labels() -> dict[str, str]:
    """Return what each field is called apart from its day."""
    return {
        f"own{nth}_{what}": f"{called}: {label}"
        for nth, called in OWN_DAYS
        for what, label in (("opens", _("from")), ("closes", _("until")), ("nobody", _("Nobody is there")))
    }


def _clock(label: Any) -> forms.TimeField:
    return forms.TimeField(label=label, required=False, widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"))


def rows_of(form: forms.Form) -> Iterator[tuple[Promise, forms.BoundField, forms.BoundField, forms.BoundField]]:
    """Yield what each day is called with its three fields, for the page."""
    for nth, called in OWN_DAYS:
        yield called, form[f"own{nth}_opens"], form[f"own{nth}_closes"], form[f"own{nth}_nobody"]


def as_typed(own: Mapping[str, list[str] | None], pour_on: date) -> dict[str, Any]:
    """Return an announced day's own hours as its teacher typed them."""
    typed: dict[str, Any] = {}
    for nth, _called in OWN_DAYS:
        name = (pour_on - timedelta(days=nth)).isoformat()
        hours = own.get(name)
        typed[f"own{nth}_nobody"] = name in own and hours is None
        if hours:
            typed[f"own{nth}_opens"], typed[f"own{nth}_closes"] = map(time.fromisoformat, hours)
    return typed


def read_own(form: forms.Form, pour_on: date | None) -> Own:
    """Return the hours of the days that differ, by date; what cannot be is refused at its field."""
    found: Own = {}
    for nth, _called in OWN_DAYS:
        names = [f"own{nth}_{what}" for what in ("opens", "closes", "nobody")]
        opens, closes, nobody = (form.cleaned_data.get(name) for name in names)
        if nobody and (opens or closes):
            form.add_error(names[2], gettext("Give the hours or say that nobody is there, not both."))
        elif bool(opens) != bool(closes) and not {*names} & set(form.errors):
            form.add_error(names[1], gettext("Give both, from when and until when, or neither."))
        elif opens and closes and opens >= closes:
            form.add_error(names[1], gettext("The last one must leave later than the first one comes."))
        elif pour_on and (nobody or (opens and closes)):
            day = (pour_on - timedelta(days=nth)).isoformat()
            found[day] = None if nobody else [f"{opens:%H:%M}", f"{closes:%H:%M}"]
    return found
