"""The forms of a flask's page: metal weighed out of the stock, weighed back, and the flask settled."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext

from casting.calc.values.mishap import Fate
from casting.forms.account.fields import OnceForm, WeightField
from casting.models import Account, Wax
from casting.presenters.account.words import where_of
from casting.services.account.flasks import Back
from casting.units import Mass


class WeighOutForm(OnceForm):
    """A box for each heap of metal that may go into the flask; one that is empty is shown only if it was typed into.

    So what somebody typed while another took the last of a heap is refused, and never dropped.
    """

    def __init__(self, *args: Any, accounts: Mapping[Account, Decimal], unit: Mass, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.accounts = accounts
        for account in accounts:
            label = f"{where_of(account)}, {unit.value}"
            self.fields[f"from_{account.pk}"] = WeightField(unit, required=False, label=label)

    @property
    def boxes(self) -> list[tuple[Any, Account, Decimal]]:
        """Each box with its account and what lies there."""
        boxes = [(self[f"from_{account.pk}"], account, held_g) for account, held_g in self.accounts.items()]
        return [(box, account, held_g) for box, account, held_g in boxes if held_g > 0 or box.value()]

    @property
    def weights_g(self) -> dict[int, Decimal]:
        """What is taken of each account."""
        found = {account.pk: self.cleaned_data[f"from_{account.pk}"] for account in self.accounts}
        return {key: weight_g for key, weight_g in found.items() if weight_g}


class WeighBackForm(OnceForm):
    """A box for each casting, for the button, the sprues and the sweeps; of those weighed before only what was typed.

    So what two people weigh at once is refused to the second, and never dropped.
    """

    def __init__(
        self, *args: Any, waxes: Iterable[Wax], unit: Mass, weighed: Container[int] = (), **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.waxes, self.weighed = list(waxes), weighed
        for wax in self.waxes:
            self.fields[f"wax_{wax.pk}"] = WeightField(unit, required=False, label=f"{wax.tag}, {unit.value}")
        rest = {"button": gettext("Button"), "sprues": gettext("Sprues"), "sweeps": gettext("Sweeps")}
        for name, label in rest.items():
            self.fields[name] = WeightField(unit, required=False, label=f"{label}, {unit.value}")

    @property
    def boxes(self) -> list[tuple[Any, Wax]]:
        """Each casting's box with its wax."""
        boxes = [(self[f"wax_{wax.pk}"], wax) for wax in self.waxes]
        return [(box, wax) for box, wax in boxes if wax.pk not in self.weighed or box.value()]

    @property
    def back(self) -> Back:
        """What was weighed."""
        castings = {wax.pk: self.cleaned_data[f"wax_{wax.pk}"] for wax in self.waxes}
        rest = (self.cleaned_data[name] for name in ("button", "sprues", "sweeps"))
        return Back({key: weight_g for key, weight_g in castings.items() if weight_g}, *rest)


class SettleForm(OnceForm):
    """A tick for each casting that is not weighed: it did not come out. Of a piece that is lost it is there already."""

    def __init__(self, *args: Any, waxes: Iterable[Wax], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.waxes = list(waxes)
        for wax in self.waxes:
            label = gettext("%(tag)s did not come out") % {"tag": wax.tag}
            lost = wax.again is not None and wax.again.fate == Fate.AGAIN
            self.fields[f"gone_{wax.pk}"] = forms.BooleanField(required=False, label=label, initial=lost)

    @property
    def boxes(self) -> list[Any]:
        """The ticks."""
        return [self[f"gone_{wax.pk}"] for wax in self.waxes]

    @property
    def not_cast(self) -> list[str]:
        """The tags of what did not come out."""
        return [wax.tag for wax in self.waxes if self.cleaned_data[f"gone_{wax.pk}"]]
