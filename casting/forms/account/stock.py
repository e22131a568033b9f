"""The forms of the stock: a lot bought, own metal brought or handed back, a heap counted or sent away."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from casting.forms.account.fields import MoneyField, OnceForm, WeightField
from casting.presenters.account.stock import Heap
from casting.selectors.account.balances import metals_of, owners_of
from casting.services.account.stock import LotEntry
from casting.units import Mass
from school.models import School

CHOOSE = _("Choose a metal.")


def metal_choice(school: School) -> forms.ModelChoiceField[Any]:
    """Return the choice of a metal that the school works with, or has booked anything of."""
    errors = {"required": CHOOSE, "invalid_choice": CHOOSE}
    rows = metals_of(school)
    return forms.ModelChoiceField(rows, label=gettext("Metal"), empty_label=gettext("choose"), error_messages=errors)


class LotForm(OnceForm):
    """A lot of fresh metal, as its papers have it."""

    supplier = forms.CharField(label=_("Bought from"), max_length=80, required=False)
    certificate = forms.CharField(label=_("Certificate no."), max_length=40, required=False)
    bought_on = forms.DateField(
        label=_("Bought on"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"required": _("Write the day."), "invalid": _("Write the day.")},
    )
    price = MoneyField(label=_("Price of the lot"), required=False)

    field_order = ("alloy", "weight", "bought_on", "price", "supplier", "certificate")

    def __init__(self, *args: Any, school: School, unit: Mass, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["alloy"] = metal_choice(school)
        self.fields["weight"] = weight_field(unit)
        self.order_fields(self.field_order)

    @property
    def entry(self) -> LotEntry:
        """The lot."""
        names = ("alloy", "bought_on", "price", "supplier", "certificate")
        return LotEntry(weight_g=self.cleaned_data["weight"], **{name: self.cleaned_data[name] for name in names})


def weight_field(unit: Mass) -> WeightField:
    """Return the box of one weight that must be there."""
    errors = {"required": gettext("Write what the scale shows.")}
    return WeightField(unit, label=gettext("Weight, %(unit)s") % {"unit": unit.value}, error_messages=errors)


class OwnForm(OnceForm):
    """Own metal of a student."""

    def __init__(self, *args: Any, school: School, unit: Mass, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        missing = gettext("Choose whose metal it is.")
        self.fields["student"] = forms.ModelChoiceField(
            owners_of(school).order_by("called", "pk"),
            label=gettext("Student"),
            empty_label=gettext("choose"),
            error_messages={"required": missing, "invalid_choice": missing},
        )
        self.fields["alloy"] = metal_choice(school)
        self.fields["weight"] = weight_field(unit)


class HeapForm(OnceForm):
    """A heap that is counted, or of which something is sent away."""

    def __init__(self, *args: Any, heaps: Iterable[Heap], unit: Mass, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        named = [(str(one.account.pk), f"{one.account.alloy}, {one.called}") for one in heaps]
        missing = gettext("Choose what it is.")
        self.fields["account"] = forms.ChoiceField(
            label=gettext("What"),
            choices=[("", gettext("choose")), *named],
            error_messages={"required": missing, "invalid_choice": missing},
        )
        self.fields["weight"] = weight_field(unit)
