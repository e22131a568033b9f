"""The form of the price list, and what its boxes show of one."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext, pgettext_lazy
from django.utils.translation import gettext_lazy as _

from casting.calc.quantities.account.bill import Prices
from casting.forms.account.fields import MoneyField
from casting.models import Alloy


class PricesForm(forms.Form):
    """What students pay: a gram of each metal, a piece, the class, the least of a bill."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    per_piece = MoneyField(label=pgettext_lazy("a price", "Each piece"), required=False)
    own_piece = MoneyField(label=_("Each piece of own metal"), required=False)
    class_fee = MoneyField(label=_("Class fee, once on each bill"), required=False)
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
