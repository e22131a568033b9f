"""Why a day was refused, in words of the school's equipment and the bench."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from django.core.exceptions import FieldDoesNotExist
from django.utils.translation import gettext as _

from casting.calc.values.errors import Refused, worded
from casting.calc.values.sentence import plain as as_sentence
from casting.models import Alloy, Firing, FlaskSize, HouseRules, Investment, Kiln, PatternMaterial, Wax
from casting.models.shelf import ShelfRow
from casting.presenters.figure_words import WHAT, what_of, word_of
from casting.presenters.formats import (
    NARROW_SPACE,
    SchoolUnits,
    length_number,
    ramp_number,
    set_point,
    weight_number,
)
from casting.presenters.wording import in_units, reworded
from casting.units import Temperature

SHELF: Mapping[str, type[ShelfRow]] = {
    "alloys": Alloy,
    "patterns": PatternMaterial,
    "investment": Investment,
    "flask_sizes": FlaskSize,
    "kilns": Kiln,
    "firings": Firing,
    "rules": HouseRules,
}
OF_DAY, OF_SCHOOL = ("hours", "pour_at"), ("timezone", "elevation_m")
UNIT = re.compile(r", (?:mm|g|C)$")
"""How a field's name ends whose figure is told with its own unit."""
PLACE = re.compile(r"(?P<part>\w+)(?:\[(?P<nth>\d+)\])?(?:\.(?P<field>.+))?")

File = Mapping[str, Any]


def refusal_of(refused: Refused, day: File, units: SchoolUnits) -> str:
    """Return a refusal of a day as a sentence: what it is about, what is wrong, who can change it where."""
    found, said = PLACE.fullmatch(refused.place), _said(refused, units)
    if found is None:
        return said
    part, nth, field = found["part"], int(found["nth"] or 0), found["field"] or ""
    sentence = said
    if part == "fixed":
        return _of_bench(day, nth, sentence)
    if part == "held":
        return _of_held(day, field, sentence)
    if part == "waxes":
        words = {"tag": day["waxes"][nth]["key"], "field": _field(Wax, field), "said": said}
        return _("Wax %(tag)s, %(field)s: %(said)s Its student can change it under My waxes, you on its page.") % words
    if part in SHELF:
        what, where = _row(day, part, nth), _field(SHELF[part], field)
        subject = f"{what}, {where}" if where else what
        sentence = {
            "alloys": _("%(subject)s: %(said)s Change it on the page Metals."),
            "rules": _("%(subject)s: %(said)s Change it on the page House rules."),
        }.get(part, _("%(subject)s: %(said)s Change it on the page Equipment."))
        return sentence % {"subject": subject, "said": _capital(said)}
    if part in OF_DAY:
        return _("The casting day: %(said)s Change it on the page Change the day.") % {"said": said}
    if part in OF_SCHOOL:
        return _("The school's place: %(said)s Change it on the page School.") % {"said": said}
    return f"{refused.place}: {said}"


def said_at_box(refused: Refused, units: SchoolUnits) -> str:
    """Return what a reader refuses as it stands beside its box: figures in the school's units, names in its words."""
    return _capital(_said(refused, units))


def _said(refused: Refused, units: SchoolUnits) -> str:
    """A refusal in the reader's language and the school's units; what a file calls standing is entered on a page."""
    said = worded(in_units(refused.marked, units), lambda unit, value, plain: _in_units(unit, value, plain, units))
    return said.replace(" stands here", " is entered", 1).replace(" stand here", " are entered", 1)


def _in_units(unit: str, value: str, plain: str, units: SchoolUnits) -> str:
    """A marked figure of a refusal in the school's units; without a value, the unit itself."""
    fahrenheit = units.temperature is Temperature.FAHRENHEIT
    if unit == "key":
        return what_of(value)
    if unit == "said":
        return reworded(as_sentence(value))
    if unit == "slip":
        typed, meant = (f"{figure}{NARROW_SPACE}°{scale}" for figure, scale in zip(value.split(), "FC", strict=True))
        asked = _("Did you mean %(typed)s, which is %(meant)s?") % {"typed": typed, "meant": meant}
        return _("Look it up again.") if fahrenheit else asked
    if not value:
        return {"mm": _("inches") if units.inches else "mm", "c": "°F" if fahrenheit else "°C"}[unit]
    write = {"mm": length_number, "c": set_point, "c_per_h": ramp_number, "g": weight_number}[unit]
    after = {
        "mm": "in" if units.inches else "mm",
        "c": f"°{units.temperature}",
        "c_per_h": f"°{units.temperature}/h",
        "g": units.weight.value,
    }
    return f"{write(float(value), units)}{NARROW_SPACE}{after[unit]}"


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]


def _row(day: File, part: str, nth: int) -> str:
    """A row of the shelf by its kind and name: Flask size 64x64."""
    row = day[part][nth] if isinstance(day[part], list) else day[part]
    kind = str(SHELF[part]._meta.verbose_name)
    return _capital(f"{kind} {row.get('name') or row.get('key', '')}".strip())


def _field(model: type[Any], path: str) -> str:
    """A field by the name that stands beside it on the shelf; what lies within it, counted from 1."""
    first, *rest = [part for part in re.split(r"[.\[\]]+", path) if part] or [""]
    try:
        name = UNIT.sub("", str(model._meta.get_field(first).verbose_name))
    except FieldDoesNotExist:
        name = what_of(first)
    inside = [_("number %(nth)d") % {"nth": int(one) + 1} if one.isdigit() else _part(first, one) for one in rest]
    return ", ".join([name, *inside])


def _part(field: str, part: str) -> str:
    """A part of a field in words."""
    figure = f"{field}.{part}"
    return what_of(figure) if figure in WHAT else word_of(part)


def _of_bench(day: File, nth: int, sentence: str) -> str:
    """Why a flask on the bench cannot be kept."""
    label = day["fixed"][nth]
    before = day["previous"].get(label)
    if before is None:
        return _(
            "Flask %(label)s is invested, but its size is put away. Take it out again on the page Equipment, then make "
            "the plan again."
        ) % {"label": label}
    for tag in before["waxes"]:
        to = day["held"].get(tag, label)
        if to != label:
            return _(
                "Wax %(tag)s is in flask %(label)s, which is invested, but you keep it in flask %(to)s. Empty its "
                "field on the page Waxes, then make the plan again."
            ) % {"tag": tag, "label": label, "to": to}
    return _(
        "%(said)s Flask %(label)s is invested and stays as it is, but the school's equipment or house rules have "
        "changed since. Pour it by the papers of the last plan. To plan again, put the old figures back on the page "
        "Equipment; if %(label)s is not invested, undo that on the page Flasks."
    ) % {"said": _capital(sentence), "label": label}


def _of_held(day: File, tag: str, sentence: str) -> str:
    """Why a held wax cannot stand where it is held to."""
    label = day["held"].get(tag, "")
    if label not in day["fixed"]:
        return _capital(sentence)
    return _(
        "You keep wax %(tag)s in flask %(label)s, which is invested without it. Keep it in another flask or empty its "
        "field on the page Waxes, then make the plan again."
    ) % {"tag": tag, "label": label}
