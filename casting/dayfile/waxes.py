"""Readers of waxes, and of the flasks of the previous plan that a new plan keeps."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from typing import Any

from casting.calc.values.day_input import Pattern, Previous, Wax
from casting.calc.values.enums import Section, Stones
from casting.calc.values.errors import Refused
from casting.calc.values.sentence import say
from casting.calc.values.tolerances import SLACK
from casting.dayfile.shelf_file import shelf
from casting.dayfile.validation import (
    Reader,
    check_list,
    check_object,
    check_text,
    choice,
    nullable,
    number,
    one_of,
    read_fields,
    read_items,
    refusal,
    step_in,
    whole,
)

LABEL = re.compile(r"[A-Z0-9]{1,3}")
WAX_MAX_G = 500
WAX_MAX_MM = 400
SOLID_MOST = 1.05
THICK_PARTS_MOST = 12

KILN_PLACE = ("kiln", "kiln_x_mm", "kiln_y_mm")
FLOOR = number(over=0, most=10_000)

LENGTH = number(over=0, most=WAX_MAX_MM, mend="measure it again, in mm")
WAX: Mapping[str, Reader[Any]] = {
    "key": check_text,
    "wax_g": number(over=0, most=WAX_MAX_G, mend="weigh it again, in grams"),
    "width_mm": LENGTH,
    "depth_mm": LENGTH,
    "height_mm": LENGTH,
    "section": choice(tuple(Section)),
    "student": lambda value, place: check_text(value, place, blank=True),
    "piece": whole(least=1, most=10_000),
    "owner": check_text,
    "sprue_g": number(least=0, most=WAX_MAX_G),
    "stones": choice(tuple(Stones)),
    "thickest_mm": number(over=0, most=WAX_MAX_MM, mend="measure it with calipers, in mm"),
    "thick_parts": whole(least=1, most=THICK_PARTS_MOST),
}
"""All fields of a wax but those that name a row of the shelf."""
WAX_OPTIONAL = ("student", "piece", "owner", "sprue_g", "sprue_pattern", "stones", "thickest_mm", "thick_parts")


def read_wax(value: object, place: str, alloys: Collection[str], patterns: Mapping[str, Pattern]) -> Wax:
    """Return one wax."""
    of_shelf = {"alloy": _alloy(alloys), "pattern": known(patterns), "sprue_pattern": nullable(known(patterns))}
    wax = Wax(**read_fields(value, place, {**WAX, **of_shelf}, WAX_OPTIONAL))
    if wax.sprue_g > wax.wax_g + SLACK:
        raise refusal(
            step_in(place, "sprue_g"),
            wax.sprue_g,
            say("the sprue weighs more than wax and sprue together, {both} g", both=wax.wax_g),
            "weigh both again",
        )
    solid_g = wax.width_mm * wax.depth_mm * wax.height_mm / 1000 * patterns[wax.pattern].specific_gravity
    if wax.wax_g > SOLID_MOST * solid_g + SLACK:
        raise refusal(
            step_in(place, "wax_g"),
            wax.wax_g,
            say("a solid block of its size weighs {solid:.2f} g", solid=solid_g),
            "weigh it without the base and measure it again",
        )
    _refuse_thickest(wax, place)
    return wax


def _refuse_thickest(wax: Wax, place: str) -> None:
    """Refuse a thickest part that is thinner than the thinnest, or thicker than the whole wax."""
    if wax.thickest_mm is None:
        return
    here, smallest_mm = step_in(place, "thickest_mm"), min(wax.width_mm, wax.depth_mm, wax.height_mm)
    if wax.thickest_mm < wax.section.from_mm - SLACK:
        wrong = say("its thinnest part is said to have {thinnest} mm or more", thinnest=wax.section.from_mm)
        raise refusal(here, wax.thickest_mm, wrong, "measure both again")
    if wax.thickest_mm > SOLID_MOST * smallest_mm + SLACK:
        wrong = say("the whole wax has only {smallest} mm one way", smallest=smallest_mm)
        raise refusal(here, wax.thickest_mm, wrong, "measure it across, where it is thickest")


def known(known: Collection[str]) -> Callable[[object, str], str]:
    """Return a reader of a key that must be in the file or on the shelf."""

    def read(value: object, place: str) -> str:
        key = check_text(value, place)
        if key not in known:
            raise refusal(place, key, "it is not known here", one_of(sorted(known)))
        return key

    return read


def _alloy(alloys: Collection[str]) -> Callable[[object, str], str]:
    """Return a reader of the key of an alloy that the day offers."""

    def read(value: object, place: str) -> str:
        key = check_text(value, place)
        if key not in alloys and key in {row["key"] for row in shelf().rows("alloys")}:
            raise refusal(place, key, "this metal is on the shelf but not offered", "list it under alloys to use it")
        return known(alloys)(key, place)

    return read


def check_label(value: object, place: str) -> str:
    """Return the label of a flask."""
    label = check_text(value, place)
    if not LABEL.fullmatch(label):
        raise refusal(place, label, "a label is 1 to 3 of A-Z and 0-9", "give another")
    return label


def read_held(value: object, place: str, waxes: Collection[str]) -> dict[str, str]:
    """Return the flask label of each wax that is kept in a flask."""
    held: dict[str, str] = {}
    for key, label in check_object(value, place).items():
        here = step_in(place, key)
        if key not in waxes:
            raise Refused(here, "no wax of the day has this key; take the line out.")
        held[key] = check_label(label, here)
    return held


def read_previous(value: object, place: str, sizes: Collection[str], kilns: Collection[str]) -> dict[str, Previous]:
    """Return the flasks of the plan before; their waxes may have been withdrawn since."""
    previous: dict[str, Previous] = {}
    seen: dict[str, str] = {}
    readers: Mapping[str, Reader[Any]] = {
        "size": known(sizes),
        "waxes": lambda raw, at: read_items(raw, at, check_text),
        "kiln": known(kilns),
        "kiln_x_mm": FLOOR,
        "kiln_y_mm": FLOOR,
    }
    for label, raw in check_object(value, place).items():
        here = step_in(place, label)
        if not LABEL.fullmatch(label):
            raise Refused(here, "a label is 1 to 3 of A-Z and 0-9; give another.")
        flask = Previous(**read_fields(raw, here, readers, KILN_PLACE))
        if (flask.kiln_x_mm is None) != (flask.kiln_y_mm is None) or (flask.kiln_x_mm is not None and not flask.kiln):
            raise Refused(here, "a place needs kiln, kiln_x_mm and kiln_y_mm; give all three, or the kiln alone.")
        for nth, key in enumerate(flask.waxes):
            if key in seen:
                wrong = say("it is already in flask {flask}", flask=seen[key])
                raise refusal(f"{here}.waxes[{nth}]", key, wrong, "a wax stands in one flask")
            seen[key] = label
        previous[label] = flask
    return previous


def _keys(value: object, place: str) -> tuple[str, ...]:
    return read_items(value, place, check_text)


def read_fixed(value: object, place: str, previous: Mapping[str, Previous], waxes: Collection[str]) -> tuple[str, ...]:
    """Return the labels of flasks that stay as they are."""
    fixed: list[str] = []
    for nth, raw in enumerate(check_list(value, place)):
        here = f"{place}[{nth}]"
        label = check_label(raw, here)
        if label not in previous or label in fixed:
            raise refusal(here, label, "it is no flask of previous, or stands twice", "take it out")
        gone = sorted(set(previous[label].waxes) - set(waxes))
        if gone:
            wrong = say("its wax {wax} is not among the day's waxes", wax=gone[0])
            raise refusal(here, label, wrong, "give the wax back")
        if not previous[label].waxes:
            raise refusal(here, label, "that flask holds no wax", "take it out")
        fixed.append(label)
    return tuple(fixed)
