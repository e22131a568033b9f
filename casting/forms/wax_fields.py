"""Fields of a wax: weights and sizes as they are typed, choices that are all seen at once, and a wax read back."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from decimal import ROUND_DOWN, Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Model
from django.forms.models import ModelChoiceIteratorValue
from django.utils.translation import gettext_lazy as _

from casting.models import Wax
from casting.models.wax_entry import WaxEntry, recorded
from casting.presenters import formats
from casting.presenters.formats import SchoolUnits
from casting.units import Length, Mass, NotUnderstood, from_millimetres, in_decimals, millimetres, read_number

LONGEST_MM = 400

DECIMAL = {"inputmode": "decimal", "autocomplete": "off", "maxlength": "20", "size": "5"}


class NumberField(forms.CharField):
    """A number as typed; it is read with its unit when the form knows that."""

    def __init__(self, missing: Any = "", **kwargs: Any) -> None:
        errors = {"required": missing}
        super().__init__(widget=forms.TextInput(attrs=DECIMAL), error_messages=errors, strip=False, **kwargs)


class LengthField(NumberField):
    """A size, kept in mm and typed in mm or inches; None if it is left empty and may be.

    `inches` are its label and the sentence for an empty box where the school measures in inches.
    """

    def __init__(self, missing: Any = "", *, inches: tuple[Any, Any] = ("", ""), **kwargs: Any) -> None:
        super().__init__(missing, **kwargs)
        self.inches, self.unit = inches, Length.MILLIMETRE
        self.kept: tuple[str, Decimal] | None = None

    def measure_in(self, units: SchoolUnits, kept: str | None) -> str:
        """Take inches where the school does; return the text of a size in mm that is kept already, in its unit.

        Left alone, that text stays the size that is kept, whatever rounding shows.
        """
        if not units.inches:
            return kept or ""
        self.unit = Length.INCH
        self.label, self.error_messages["required"] = self.inches
        if not kept:
            return ""
        self.kept = formats.length_number(float(kept), units), Decimal(kept)
        return self.kept[0]

    def clean(self, value: Any) -> Decimal | None:
        typed = super().clean(value).strip()
        if not typed and not self.required:
            return None
        if self.kept and typed == self.kept[0]:
            return self.kept[1]
        unit = written_length(typed) or self.unit
        if unit is not Length.INCH and in_decimals(typed) != typed:
            said = _("“%(entered)s” is a fraction, as used for inches. If you mean inches, write in after it.")
            raise ValidationError(said, params={"entered": typed})
        try:
            number = read_number(in_decimals(typed) if unit is Length.INCH else typed, unit)
        except NotUnderstood as wrong:
            raise ValidationError(wrong.sentence) from wrong
        length_mm = millimetres(number, unit)
        if not 0 < length_mm <= LONGEST_MM:
            most = from_millimetres(Decimal(LONGEST_MM), unit).quantize(Decimal("0.01"), ROUND_DOWN)
            raise ValidationError(
                _(
                    "%(entered)s %(unit)s is not possible: a wax measures more than 0 and at most %(most)s %(unit)s. "
                    "Measure it again."
                ),
                params={"entered": formats.plain(number), "unit": unit.value, "most": formats.plain(most)},
            )
        # What the row holds is what is checked, shown and hashed.
        return length_mm if unit is Length.MILLIMETRE else length_mm.quantize(Decimal("0.001"))


def written_length(typed: str) -> Length | None:
    """The unit that stands behind a length; None if there is none."""
    return next((unit for unit in Length if typed.casefold().endswith(unit.value)), None)


def written_mass(typed: str) -> Mass | None:
    """The unit that stands behind a weight; None if there is none."""
    behind = "".join(sign for sign in typed.casefold() if sign.isalpha())
    return next((unit for unit in Mass if behind == unit.value), None)


class Choices(forms.RadioSelect):
    """All choices seen at once; the error summary links to the whole of them."""

    def id_for_label(self, id_: str, index: Any = None) -> str:
        """The id of one choice, or of the fieldset around them."""
        return id_ if index is None else super().id_for_label(id_, index)


class RowChoice(forms.ModelChoiceField):  # type: ignore[type-arg]  # at run time it takes none
    """A choice among rows that are read already: neither its list nor its answer asks the database."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(queryset=None, **kwargs)
        self.rows: Sequence[Model] = ()

    def offer(self, rows: Sequence[Model]) -> None:
        """Take the rows to choose from."""
        self.rows = rows
        empty = [] if self.empty_label is None else [("", self.empty_label)]
        self.choices = [
            *empty,
            *((ModelChoiceIteratorValue(row.pk, row), self.label_from_instance(row)) for row in rows),
        ]

    def to_python(self, value: Any) -> Model | None:
        if value in self.empty_values:
            return None
        found = next((row for row in self.rows if str(row.pk) == str(value)), None)
        if found is None:
            raise ValidationError(self.error_messages["invalid_choice"], "invalid_choice", {"value": value})
        return found


def row_choice(label: Any, missing: Any) -> RowChoice:
    """A choice among rows of the shelf, all of them seen at once."""
    errors = {"required": missing, "invalid_choice": missing}
    return RowChoice(label=label, widget=Choices, empty_label=None, error_messages=errors)


WORDS: dict[str, Any] = {"what": "", "note": "", "second_alloy": None}
"""What nothing is asked back about, and what stands for each of them until it is there."""


def seen_of(entry: WaxEntry) -> str:
    """A digest of the figures shown to the student: the same figures give the same digest, whatever it is called."""
    figures = {name: value for name, value in recorded(entry).items() if name not in WORDS}
    return hashlib.sha256(json.dumps(figures, sort_keys=True).encode()).hexdigest()[:16]


def of_the_bench(pattern: int, alloy: int, base: str, unit: str) -> dict[str, Any]:
    """The initial values of the form that stay the same from one wax to the next: material, metal, rubber base.

    The unit is always the scale's: one that came along unseen would make 2 g of wax 3.11 g.
    """
    on_base = "yes" if base else "no"
    return {"pattern": pattern, "alloy": alloy, "on_base": on_base, "base": base, "base_unit": unit}


def typed_of(wax: Wax) -> dict[str, Any]:
    """The initial values of the form for changing a wax: as they were typed."""
    plain = {name: f"{getattr(wax, name).normalize():f}" for name in ("width_mm", "depth_mm", "height_mm")}
    return plain | {
        "key": wax.key,
        "version": wax.version,
        "what": wax.what,
        **of_the_bench(wax.pattern_id, wax.alloy_id, wax.base_entered, wax.entered_unit),
        "own_metal": wax.own_metal,
        "weight": wax.entered,
        "unit": wax.entered_unit,
        "section": wax.section,
        "stones": wax.stones,
        "second_alloy": wax.second_alloy_id,
        "note": wax.note,
        "thickest_mm": "" if wax.thickest_mm is None else f"{wax.thickest_mm.normalize():f}",
        "thick_parts": wax.thick_parts or "",
        "sprue": wax.sprue_entered,
        "sprue_pattern": wax.sprue_pattern_id,
    }
