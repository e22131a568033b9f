"""The forms of the stock: a lot bought, own metal brought or handed back, a heap counted or sent away; and prices."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext, pgettext_lazy
from django.utils.translation import gettext_lazy as _

from casting.calc.quantities.account.bill import Prices
from casting.forms.account.fields import MoneyField, OnceForm, WeightField
from casting.models import Alloy
from casting.presenters.account.stock import Heap
from casting.services.account.stock import LotEntry
from casting.units import Mass
from school.models import School, Student

CHOOSE = _("Choose a metal.")


def metal_choice(school: School) -> forms.ModelChoiceField[Any]:
    """Return the choice of a metal of the school."""
    errors = {"required": CHOOSE, "invalid_choice": CHOOSE}
    rows = Alloy.objects.at(school)
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
        students = Student.objects.here().filter(school=school, course__is_rehearsal=False)
        missing = gettext("Choose whose metal it is.")
        self.fields["student"] = forms.ModelChoiceField(
            students.order_by("called", "pk"),
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


class PricesForm(forms.Form):
    """What students pay: a gram of each metal, a piece, the class, the least of a bill."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    per_piece = MoneyField(label=pgettext_lazy("a price", "Each piece"), required=False)
    own_piece = MoneyField(label=_("Each piece of own metal"), required=False)
    class_fee = MoneyField(label=_("Class fee, once for each student"), required=False)
    minimum = MoneyField(label=_("Least of a bill"), required=False)

    def __init__(self, *args: Any, metals: Iterable[Alloy], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.metals = list(metals)
        for alloy in self.metals:
            label = gettext("A gram of %(metal)s") % {"metal": alloy.called}
            self.fields[f"gram_{alloy.pk}"] = MoneyField(places=4, required=False, label=label)

    @property
    def grams(self) -> list[Any]:
        """The boxes of the metals."""
        return [self[f"gram_{alloy.pk}"] for alloy in self.metals]

    @property
    def prices(self) -> Prices:
        """The price list; an empty fee is none, an empty price of a gram is unknown."""
        found = {alloy.key: self.cleaned_data[f"gram_{alloy.pk}"] for alloy in self.metals}
        fees = {
            name: self.cleaned_data[name] or Decimal(0) for name in ("per_piece", "own_piece", "class_fee", "minimum")
        }
        return Prices({key: price for key, price in found.items() if price is not None}, **fees)


def typed_prices(prices: Prices | None, metals: Iterable[Alloy], version: int) -> dict[str, Any]:
    """Return what the boxes show of a price list; empty ones before the first."""
    if prices is None:
        return {"version": version}
    fees = {name: getattr(prices, name) for name in ("per_piece", "own_piece", "class_fee", "minimum")}
    boxes = {name: f"{fee.normalize():f}" if fee else "" for name, fee in fees.items()}
    grams = {
        f"gram_{one.pk}": f"{prices.per_gram[one.key].normalize():f}" for one in metals if one.key in prices.per_gram
    }
    return boxes | grams | {"version": version}
