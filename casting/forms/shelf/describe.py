"""One description for each column of each thing on the shelf, taken from its model: a new column cannot be left out."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from django.db import models
from django.utils.translation import gettext, pgettext_lazy
from django.utils.translation import gettext_lazy as _

from casting.forms.shelf.boxes import (
    Box,
    NumberBox,
    SignBox,
    WholeBox,
    YesNoBox,
    either,
    heat_box,
    length_box,
    ramp_box,
)
from casting.forms.shelf.columns import Bands, Cell, Column, Composition, Kinds, Pair, Rows, Segments
from casting.forms.shelf.rules import rule_columns
from casting.models import HouseRules
from casting.models.shelf import ShelfRow
from casting.presenters.figure_words import UNIT, what_of
from casting.presenters.formats import SchoolUnits, units_of
from casting.units import Count
from school.models import School

HINTS: Mapping[str, Any] = {
    "composition_pct": _("A row for each element, by its sign, as in Ag. A sign without a share is not recorded."),
    "specific_gravity": _("As the maker gives it."),
    "flask_c": _("The low and the high end for each thickness."),
    "quench_min_by_diameter": _("For flasks up to this wide, wait so long. The widest row last."),
    "quench_by_min": _("Only for a metal that has to be quenched early. Empty is none."),
    "price_per_g": _("Empty is unknown, not free."),
    "price_per_kg": _("Empty is unknown, not free."),
    "delayed_start": _("Unknown is not no: a plan then asks."),
    "runs_program": _("No if somebody turns it up and down by hand."),
    "water_c": _("On the powder's sheet. Empty is not recorded."),
    "count": _("How many of this size the school has."),
    "trunk_mm": _("Only for a tree."),
    "trunk_gap_mm": _("Only for a tree."),
    "wall": _("With holes in its wall, vacuum draws through it too; a sleeve or tape holds the investment in."),
    "sleeve_mm": _("Only for a perforated flask. Empty: tape, as wide as the flask is outside."),
    "sleeve_height_mm": _("Only for a perforated flask. Empty: as high as the flask."),
    "fill_mm": _("Only for a perforated flask. How high its investment stands. Empty: to its rim."),
    "kinds": _("Stones left in wax need a firing of their own."),
    "segments": _("In order: climb so fast, to this heat, hold so long. No hold is 0."),
    "poison_gas": _("PVC, polyurethane, ABS, nylon and rubber do. See the maker's data sheet."),
    "heavy_smoke": _("More than wax or castable resin: PLA, wood, foam."),
    "unknown_plastic": _("Its maker or recipe is not known."),
}
FOLLOWS = _("Leave it empty for the usual one.")
"""The hint of a figure of a flask that its row may leave out."""


def columns_for(model: type[ShelfRow], school: School) -> list[Column]:
    """Return the columns of a thing in the order of its page, the name first."""
    units = units_of(school)
    if model is HouseRules:
        return rule_columns(units)
    names = ["name", *(name for name in model.figures if name != "name")]
    return [_column(model, name, units, school) for name in names]


def _column(model: type[ShelfRow], name: str, units: SchoolUnits, school: School) -> Column:
    column = model._meta.get_field(name)
    assert isinstance(column, models.Field)
    if name in SPECIAL:
        return SPECIAL[name](units)
    hint = HINTS.get(name, FOLLOWS if model.__name__ == "FlaskSize" and column.null else "")
    label = _("Name") if name == "name" else what_of(name)
    return Column(name, label, _box(column, name, units, school), hint, column.blank)


def _box(column: models.Field[Any, Any], name: str, units: SchoolUnits, school: School) -> Box:
    """Return the box of a column by its kind, and of a number by the unit at the end of its name."""
    if column.choices:
        return either([(str(key), word) for key, word in column.choices])
    if isinstance(column, models.BooleanField):
        return YesNoBox()
    if isinstance(column, models.IntegerField):
        return WholeBox()
    if isinstance(column, models.CharField):
        return Box()
    if name.startswith("price_per_"):
        a = {"price_per_g": _("%(currency)s a gram"), "price_per_kg": _("%(currency)s a kilogram")}[name]
        return NumberBox(str(a % {"currency": school.currency}).strip())
    if name == "water_per_100":
        return NumberBox(gettext("g to 100 g of powder"))
    unit = (found := UNIT.search(name)) and found[1]
    return number_box(unit or "", units)


def number_box(unit: str, units: SchoolUnits) -> NumberBox:
    """Return the box for a number by the unit that its name ends in."""
    of_school: Mapping[str, Callable[[SchoolUnits], NumberBox]] = {"mm": length_box, "c": heat_box, "c_per_h": ramp_box}
    if unit in of_school:
        return of_school[unit](units)
    return {"pct": NumberBox("%", Count.PERCENT), "min": NumberBox("min", Count.MINUTE)}.get(unit) or NumberBox(
        re.sub("_", " ", unit)
    )


def _by_diameter(name: str) -> Callable[[SchoolUnits], Column]:
    return lambda units: Rows(
        name,
        what_of(name),
        [Cell("to", _("flasks up to"), length_box(units)), Cell("minutes", _("wait"), number_box("min", units))],
        HINTS[name],
        nullable=False,
    )


SPECIAL: Mapping[str, Callable[[SchoolUnits], Column]] = {
    "composition_pct": lambda units: Composition(
        "composition_pct",
        what_of("composition_pct"),
        [Cell("sign", _("element"), SignBox()), Cell("share", _("share"), number_box("pct", units))],
        HINTS["composition_pct"],
    ),
    "flask_c": lambda units: Bands("flask_c", _("flask temperature"), heat_box(units), HINTS["flask_c"], False),
    "water_c": lambda units: Pair("water_c", what_of("water_c"), heat_box(units), HINTS["water_c"]),
    "quench_min_by_diameter": _by_diameter("quench_min_by_diameter"),
    "kinds": lambda units: Kinds("kinds", what_of("kinds"), HINTS["kinds"]),
    "segments": lambda units: Segments(
        "segments",
        what_of("segments"),
        [
            Cell("ramp_c_per_h", _("ramp"), ramp_box(units)),
            Cell("to_c", pgettext_lazy("up to a figure", "to"), heat_box(units)),
            Cell("hold_min", _("hold"), number_box("min", units)),
        ],
        HINTS["segments"],
        nullable=False,
    ),
}
"""Columns whose value is more than one figure."""
