"""Boards that a teacher might have made: waxes of a day in flasks at random, with spots that the check accepts."""

from __future__ import annotations

import json
import random
from dataclasses import replace

from casting.calc.geometry.shapes import Base, Footprint
from casting.calc.geometry.verify import faults
from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.layout.search import find_layout
from casting.calc.values.day_input import DayInput
from casting.calc.values.day_plan import Place
from casting.calc.values.placed import PlacedFlask
from casting.dayfile import read

LABELS = "QWERTZUIOPASDFGHJKLYXCVBNM"


def hand_made(day: dict, chance: random.Random, share: float = 0.7) -> dict:
    """The day file with some waxes in flasks made by hand, some kept out, and the rest left to the program."""
    rules = FlaskRules(read(json.dumps(day)).day)
    loose = [key for key in rules.items if rules.alone[key]]
    chance.shuffle(loose)
    stock = {size.key: size.count for size in rules.sizes.values()}
    placed, kept_out, labels = [], [], iter(chance.sample(LABELS, len(LABELS)))
    most = len(loose) * (1 - share)
    while len(loose) > most:
        first = loose.pop()
        sizes = [size for size in rules.alone[first] if stock[size] and not rules.bases[size].trunk]
        if not sizes or chance.random() < 0.05:
            kept_out.append(first)
            continue
        size = chance.choice(sizes)
        keys = _joined(first, loose, size, rules, chance)
        loose = [key for key in loose if key not in keys]
        stock[size] -= 1
        placed.append(_row(next(labels), size, keys, rules, chance))
    return day | {"placed": placed, "kept_out": kept_out}


def drawn_flasks(day: dict, chance: random.Random) -> tuple[DayInput, list[PlacedFlask]]:
    """The day, and flasks made by hand of most of its waxes, each of them laid out."""
    file = hand_made(day, chance, share=1.0)
    placed = [flask for flask in read(json.dumps(file)).day.placed if len(flask.spots) == len(flask.waxes)]
    return read(json.dumps(day)).day, [replace(flask, whole=True) for flask in placed]


def _joined(first: str, loose: list[str], size: str, rules: FlaskRules, chance: random.Random) -> list[str]:
    """The first wax, and up to three others that may share its flask and have a layout there."""
    keys = [first]
    for other in loose:
        more = [*keys, other]
        footprints = [rules.items[key].footprint for key in more]
        shared = len(keys) < chance.randint(1, 4) and rules.allows(frozenset(more), size)
        if shared and find_layout(footprints, rules.bases[size]):
            keys = more
    return keys


def _row(label: str, size: str, keys: list[str], rules: FlaskRules, chance: random.Random) -> dict:
    footprints, base = [rules.items[key].footprint for key in keys], rules.bases[size]
    places = nudged(footprints, find_layout(footprints, base), base, chance)
    whole = chance.random() < 0.7
    spotted = whole or len(keys) > 1
    waxes = [
        {"key": key} | ({"x_mm": at.x_mm, "y_mm": at.y_mm, "turn_deg": at.turn_deg} if spotted else {})
        for key, at in zip(keys, places, strict=True)
    ]
    if len(waxes) > 2 and chance.random() < 0.3:  # one of them is left for the program to lay out
        waxes[-1] = {"key": keys[-1]}
    return {"label": label, "size": size, "whole": whole, "waxes": waxes}


def nudged(footprints: list[Footprint], places: tuple[Place, ...], base: Base, chance: random.Random) -> list[Place]:
    """The layout with each wax pushed and turned as by hand, as far as the check accepts it."""
    stands = list(places)
    for _ in range(6 * len(stands)):
        nth = chance.randrange(len(stands))
        moved = list(stands)
        moved[nth] = Place(
            round(stands[nth].x_mm + chance.uniform(-3, 3), 3),
            round(stands[nth].y_mm + chance.uniform(-3, 3), 3),
            round((stands[nth].turn_deg + chance.uniform(-40, 40)) % 360, 3) % 360,
        )
        if not faults(footprints, moved, base):
            stands = moved
    return stands
