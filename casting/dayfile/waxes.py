"""The waxes of a day file, and what earlier plans hold them to."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import fields as fields_of

from casting.calc.values.day_input import SCHOOL, Pattern, Previous, Wax
from casting.calc.values.enums import Section
from casting.calc.values.errors import Refused
from casting.calc.values.tolerances import SLACK
from casting.dayfile.shelf_file import shelf
from casting.dayfile.validation import Fields, check_list, check_object, check_text, refusal, step_in

WAX_KEYS = tuple(field.name for field in fields_of(Wax))
PREVIOUS_KEYS = ("size", "waxes")
LABEL = re.compile(r"[A-Z0-9]{1,3}")
WAX_MAX_G = 500
WAX_MAX_MM = 400
SOLID_MOST = 1.05


def read_wax(value: object, place: str, alloys: Collection[str], patterns: Mapping[str, Pattern]) -> Wax:
    """Return one wax."""
    fields = Fields(value, place, WAX_KEYS)
    sprue_pattern = None
    if fields.has("sprue_pattern"):
        sprue_pattern = _known(fields, "sprue_pattern", patterns)
    wax = Wax(
        key=fields.text("key"),
        alloy=_known(fields, "alloy", alloys),
        pattern=_known(fields, "pattern", patterns),
        wax_g=fields.number("wax_g", over=0, most=WAX_MAX_G, mend="weigh it again, in grams"),
        width_mm=_length(fields, "width_mm"),
        depth_mm=_length(fields, "depth_mm"),
        height_mm=_length(fields, "height_mm"),
        section=fields.choice("section", tuple(Section)),
        student=fields.text("student", default="", blank=True),
        piece=fields.whole("piece", least=1, most=10_000, default=1),
        owner=fields.text("owner", default=SCHOOL),
        sprue_g=fields.number("sprue_g", least=0, most=WAX_MAX_G, default=0),
        sprue_pattern=sprue_pattern,
    )
    if wax.sprue_g > wax.wax_g + SLACK:
        raise refusal(
            fields.at("sprue_g"),
            wax.sprue_g,
            f"the sprue weighs more than wax and sprue together, {wax.wax_g:g} g",
            "weigh both again",
        )
    solid_g = wax.width_mm * wax.depth_mm * wax.height_mm / 1000 * patterns[wax.pattern].specific_gravity
    if wax.wax_g > SOLID_MOST * solid_g + SLACK:
        raise refusal(
            fields.at("wax_g"),
            wax.wax_g,
            f"a solid block of its size weighs {solid_g:.2f} g",
            "weigh it without the base and measure it again",
        )
    return wax


def _length(fields: Fields, key: str) -> float:
    return fields.number(key, over=0, most=WAX_MAX_MM, mend="measure it again, in mm")


def _known(fields: Fields, key: str, known: Collection[str]) -> str:
    """Return a key that must be in the file or on the shelf."""
    value = fields.text(key)
    if value in known:
        return value
    if key == "alloy" and value in {row["key"] for row in shelf().rows("alloys")}:
        raise refusal(
            fields.at(key),
            value,
            "this metal is on the shelf but not offered",
            "list it under alloys to use it",
        )
    raise refusal(fields.at(key), value, "it is not known here", f"take one of: {', '.join(sorted(known))[:200]}")


def _label(value: object, place: str) -> str:
    label = check_text(value, place)
    if not LABEL.fullmatch(label):
        raise refusal(place, label, "a label is 1 to 3 of A-Z and 0-9", "give another")
    return label


def read_held(value: object, place: str, waxes: Collection[str]) -> dict[str, str]:
    """Return the labels that waxes are held to."""
    held: dict[str, str] = {}
    for key, label in check_object(value, place).items():
        here = step_in(place, key)
        if key not in waxes:
            raise Refused(here, "no wax of the day has this key; take the line out.")
        held[key] = _label(label, here)
    return held


def read_previous(value: object, place: str, sizes: Collection[str]) -> dict[str, Previous]:
    """Return the flasks of the plan before; their waxes may have been withdrawn since."""
    previous: dict[str, Previous] = {}
    seen: dict[str, str] = {}
    for label, raw in check_object(value, place).items():
        here = step_in(place, label)
        if not LABEL.fullmatch(label):
            raise Refused(here, "a label is 1 to 3 of A-Z and 0-9; give another.")
        fields = Fields(raw, here, PREVIOUS_KEYS)
        keys: list[str] = []
        for item, key in fields.items("waxes"):
            key = check_text(key, item)
            if key in seen:
                raise refusal(item, key, f"it is already in flask {seen[key]}", "a wax stands in one flask")
            seen[key] = label
            keys.append(key)
        previous[label] = Previous(_known(fields, "size", sizes), tuple(keys))
    return previous


def read_fixed(value: object, place: str, previous: Mapping[str, Previous], waxes: Collection[str]) -> tuple[str, ...]:
    """Return the labels of flasks that stay as they are."""
    fixed: list[str] = []
    for nth, raw in enumerate(check_list(value, place)):
        here = f"{place}[{nth}]"
        label = _label(raw, here)
        if label not in previous or label in fixed:
            raise refusal(here, label, "it is no flask of previous, or stands twice", "take it out")
        gone = sorted(set(previous[label].waxes) - set(waxes))
        if gone:
            raise refusal(here, label, f"its wax {gone[0]} is not among the day's waxes", "give the wax back")
        if not previous[label].waxes:
            raise refusal(here, label, "that flask holds no wax", "take it out")
        fixed.append(label)
    return tuple(fixed)
