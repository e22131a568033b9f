"""The bench of one day, where it is not as the house rules have it: torches, hands, and a torch's heat."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _

from casting.forms.counts import whole_number
from casting.models import CastingDay
from casting.selectors.day_file import house_rules_of

NAMES = ("torches", "hands", "melt_w")


def bench_fields(day: CastingDay) -> dict[str, forms.Field]:
    """Return the fields of a day's bench, each with what the house rules say of it."""
    usual = house_rules_of(day.course.school)
    whole = _("Write a whole number of %(least)s or more, or leave it empty.")
    ends: dict[str, Any] = {"required": False, "error_messages": {"invalid": whole % {"least": 1}}}
    says = _("Empty: as the house rules say, %(usual)s.")

    def shown(name: str) -> str:
        value = usual.get(name)
        return says % {"usual": _("not recorded") if value is None else f"{value:g}"}

    return {
        "torches": forms.IntegerField(
            label=_("Torches on this day"),
            min_value=1,
            max_value=100,
            help_text=shown("torches"),
            widget=whole_number(),
            **ends,
        ),
        "hands": forms.IntegerField(
            label=_("Pairs of hands on this day"),
            min_value=1,
            max_value=1000,
            help_text=shown("hands"),
            widget=whole_number(),
            **ends,
        ),
        "melt_w": forms.FloatField(
            label=_("Heat of a torch into the metal on this day, W"),
            min_value=20,
            max_value=100_000,
            localize=True,
            required=False,
            widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "size": "7"}),
            help_text=shown("melt_w"),
        ),
    }


def as_typed(day: CastingDay) -> dict[str, Any]:
    """Return the bench of an announced day as its teacher typed it."""
    return {name: getattr(day, name) for name in NAMES}
