"""The rubber base under a wax on the scale: none, one of the school's by its number, or another that is weighed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from casting.forms.wax_fields import Choices, NumberField
from casting.models import RubberBase
from casting.presenters import formats
from casting.units import Mass, NotUnderstood, grams, read_number

HEAVIEST_G = 500
ON_BASE = (("no", _("no, the wax alone")), ("yes", _("yes, base and all")))
NUMBERED = "number-"
"""How the choice of a numbered rubber base begins; its number follows."""
SEEN_AT_ONCE = 6
"""More numbered bases than these are a list."""


class BaseFields(forms.Form):
    """The boxes of a base; `bases` are the school's numbered ones."""

    bases: Sequence[RubberBase] = ()
    on_base = forms.ChoiceField(
        label=_("Was it on the rubber base when you weighed it?"),
        choices=ON_BASE,
        widget=Choices,
        error_messages={"required": _("Say whether the rubber base was weighed too: rubber is not metal.")},
    )
    base = NumberField(
        label=_("What the base weighs alone"), help_text=_("Only if it was on the base. Same unit."), required=False
    )

    @property
    def bases_listed(self) -> bool:
        """Whether there are too many numbered bases to see them all at once."""
        return len(self.bases) > SEEN_AT_ONCE

    def offer_bases(self, bases: Sequence[RubberBase], scale: Mass) -> None:
        """Offer each numbered base of the school beside a base that somebody weighs now; `scale` is the school's unit.

        A base that was chosen by its number is so again.
        """
        self.bases = bases
        field = self.fields["on_base"]
        assert isinstance(field, forms.ChoiceField)
        alone, weighed = ON_BASE
        named = gettext("yes, base %(number)s of %(weight)s")
        numbered = [
            (f"{NUMBERED}{base.number}", named % {"number": base.number, "weight": formats.weighed(base.weight_g)})
            for base in bases
        ]
        other = (weighed[0], gettext("yes, another base")) if bases else weighed
        listed = [alone, *numbered, other]
        if self.bases_listed:
            field.widget = forms.Select()
            listed.insert(0, ("", gettext("choose")))
        field.choices = listed
        self.initial = {**self.initial, **by_number(self.initial, bases, scale)}

    def base_g(self) -> Decimal | None:
        """The rubber base in g: 0 only if the student said that there is none."""
        on_base = self.cleaned_data.get("on_base")
        if on_base == "no":
            if self.cleaned_data.get("base"):
                self.add_error(
                    "base", gettext("You gave a base weight, but said that the wax was weighed alone. Clear one.")
                )
                return None
            return Decimal(0)
        if on_base and on_base.startswith(NUMBERED):
            return self._numbered(on_base.removeprefix(NUMBERED))
        if on_base == "yes" and not self.cleaned_data.get("base"):
            if "base" not in self.errors:
                self.add_error("base", gettext("Weigh the empty base and write it here: rubber is not metal."))
            return None
        return self.weighed("base") if on_base == "yes" else None

    def _numbered(self, number: str) -> Decimal | None:
        """The weight of a base by its number, written down as if it had been typed in the unit of the scale."""
        if self.cleaned_data.get("base"):
            sentence = gettext("Base %(number)s is weighed already. Clear this, or say that it is another base.")
            self.add_error("base", sentence % {"number": number})
            return None
        weight_g = next(base.weight_g for base in self.bases if base.number == number)
        unit = self.cleaned_data.get("unit")
        if unit:
            self.cleaned_data["base"] = f"{in_unit(weight_g, Mass(unit)).normalize():f}"
        return weight_g

    def weighed(self, name: str) -> Decimal | None:
        """The weight in a field in g; None if it is empty or has an error already."""
        typed, unit = self.cleaned_data.get(name), self.cleaned_data.get("unit")
        if not typed or not unit:
            return None
        try:
            weight_g = grams(read_number(typed, Mass(unit)), Mass(unit))
        except NotUnderstood as wrong:
            self.add_error(name, wrong.sentence)
            return None
        # What the row holds is what is checked, shown and hashed.
        return weight_g.quantize(Decimal("0.0001"))

    def weigh(self, whole_g: Decimal, base_g: Decimal) -> None:
        """Take the base from the whole."""
        wax_g = whole_g - base_g
        typed, unit = self.cleaned_data["weight"].strip(), self.cleaned_data["unit"]
        if wax_g <= 0 and base_g:
            sentence = gettext(
                "%(entered)s %(unit)s with the base, and the base alone weighs as much or more. Weigh both again."
            )
            self.add_error("weight", sentence % {"entered": typed, "unit": unit})
        elif not 0 < wax_g <= HEAVIEST_G:
            sentence = gettext(
                "%(entered)s %(unit)s is not possible: a wax weighs more than 0 and at most 500 g. Weigh it again."
            )
            self.add_error("weight", sentence % {"entered": typed, "unit": unit})
        else:
            self.cleaned_data["wax_g"] = wax_g


def in_unit(weight_g: Decimal, unit: Mass) -> Decimal:
    """The weight of a base as a number of that unit, as it is written down with a wax."""
    return (weight_g / grams(Decimal(1), unit)).quantize(Decimal("0.0001"))


def by_number(initial: Mapping[str, Any], bases: Sequence[RubberBase], scale: Mass) -> dict[str, str]:
    """The initial values of a base by its number, if what was written of it is the weight of one numbered base alone.

    A weight of another unit than the page begins with is left out: unseen it would be taken for that unit.
    """
    written = initial.get("base")
    if initial.get("on_base") != "yes" or not written:
        return {}
    unit = Mass(initial.get("base_unit", scale))
    try:
        weight = read_number(written, unit)
    except NotUnderstood:
        return {}
    same = [base for base in bases if in_unit(base.weight_g, unit) == weight]
    if len(same) == 1:
        return {"on_base": f"{NUMBERED}{same[0].number}", "base": ""}
    return {} if unit == initial.get("unit", scale) else {"base": ""}
