"""Layouts that exist, asked of the search: `python -m tests.bench.known_layouts --days 200 [--layouts 10000]`.

A usable circle grown by half the gap is cut by straight cuts from side to side, each piece again, until a piece is as
small as a wax; shrunk by half the gap it is a wax, and the cut is its layout. A cut counts if reach, paths and count
hold too, by shapely's distances, which share nothing with the program's verifier.
"""

from __future__ import annotations

import argparse
import math
import random
from dataclasses import replace
from time import process_time

import shapely
from shapely.affinity import rotate, translate

from casting.calc.geometry.shapes import Base, Footprint
from casting.calc.geometry.verify import faults
from casting.calc.grouping.group import group
from casting.calc.layout.search import find_layout
from casting.calc.values.day_input import DayInput, FlaskSize
from casting.calc.values.day_plan import Place
from tests.days.day_input import SMALL, TALL, a_day, a_wax

WALL_MM, BETWEEN_MM, REACH_MM, CLEAR_MM = 6.5, 6.0, 7.0, 3.0
LARGE = FlaskSize("89x102", 88.9, 101.6, 93, 1, 10, 32, 3, 25, 7)
SIZES = (replace(SMALL, waxes_max=3), TALL, LARGE)
SPARE_MM = 0.02

Box = tuple[float, float, float, float]


def base_of(size: FlaskSize) -> Base:
    """The base of a flask with the gaps here."""
    return Base(size.diameter_mm, size.hub_mm, BETWEEN_MM, REACH_MM, CLEAR_MM)


def boxed(one: Footprint, place: Place) -> shapely.Polygon:
    """A wax as a polygon of shapely."""
    box = shapely.box(-one.width_mm / 2, -one.depth_mm / 2, one.width_mm / 2, one.depth_mm / 2)
    return translate(rotate(box, place.turn_deg, origin=(0, 0)), place.x_mm, place.y_mm)


def lacks(waxes: list[Footprint], places: list[Place], base: Base) -> float:
    """The worst lack of any clearance by shapely's distances; at most 0 if all hold [mm]."""
    boxes = [boxed(*wax) for wax in zip(waxes, places, strict=True)]
    walls = [base.diameter_mm / 2 - one.wall_mm for one in waxes]
    found = [math.hypot(*at) - walls[i] for i, box in enumerate(boxes) for at in box.exterior.coords]
    for i, place in enumerate(places):
        far, hub = math.hypot(place.x_mm, place.y_mm), base.hub_mm / 2
        found.append(far - hub - base.reach_mm)
        for j, box in enumerate(boxes):
            if i != j:
                deep = boxes[i].intersection(box).area
                found.append(99 if deep else base.between_mm - boxes[i].distance(box))
                if far > hub:
                    to = (place.x_mm * hub / far, place.y_mm * hub / far)
                    path = shapely.LineString([(place.x_mm, place.y_mm), to])
                    found.append(base.clear_mm - path.distance(box))
    return max(found)


def cut(chance: random.Random, box: Box, least_mm: float) -> list[Box]:
    """A box cut from side to side, each piece again, until chance or the least width stops it."""
    x0, y0, x1, y1 = box
    upright = (x1 - x0) * chance.uniform(0.6, 1.4) > y1 - y0
    low, high = (x0, x1) if upright else (y0, y1)
    if high - low < 2 * least_mm or chance.random() < 0.12:
        return [box]
    at = chance.uniform(low + least_mm, high - least_mm)
    parts = [(x0, y0, at, y1), (at, y0, x1, y1)] if upright else [(x0, y0, x1, at), (x0, at, x1, y1)]
    return [item for part in parts for item in cut(chance, part, least_mm)]


def within(box: Box, radius_mm: float) -> Box | None:
    """The box drawn in until its corners lie in the circle; None if less than 2.5 mm is left."""
    x0, y0, x1, y1 = box
    for _ in range(400):
        far = max(((x, y) for x in (x0, x1) for y in (y0, y1)), key=lambda at: math.hypot(*at))
        if math.hypot(*far) <= radius_mm:
            return x0, y0, x1, y1
        if abs(far[0]) > abs(far[1]):
            x0, x1 = (x0, x1 - 0.2) if far[0] == x1 else (x0 + 0.2, x1)
        else:
            y0, y1 = (y0, y1 - 0.2) if far[1] == y1 else (y0 + 0.2, y1)
        if min(x1 - x0, y1 - y0) < 2.5:
            return None
    return None


def a_known_layout(seed: int) -> tuple[FlaskSize, list[Footprint], list[Place]]:
    """A flask cut up: its size, waxes and places; the same seed gives the same."""
    chance = random.Random(f"cut up {seed}")
    while True:
        size = chance.choice(SIZES)
        usable = size.diameter_mm / 2 - WALL_MM - SPARE_MM
        grown, half = usable + BETWEEN_MM / 2, BETWEEN_MM / 2 + SPARE_MM
        items = cut(chance, (-grown, -grown, grown, grown), chance.uniform(9, 16))
        downsize = [within((x0 + half, y0 + half, x1 - half, y1 - half), usable) for x0, y0, x1, y1 in items]
        boxes = [box for box in downsize if box and min(box[2] - box[0], box[3] - box[1]) >= 2.5]
        waxes = [Footprint(round(x1 - x0 - 0.001, 2), round(y1 - y0 - 0.001, 2), WALL_MM) for x0, y0, x1, y1 in boxes]
        places = [Place(round((x0 + x1) / 2, 3), round((y0 + y1) / 2, 3), 0.0) for x0, y0, x1, y1 in boxes]
        if 3 <= len(waxes) <= size.waxes_max and lacks(waxes, places, base_of(size)) <= 0:
            return size, waxes, places


def a_full_day(seed: int) -> DayInput:
    """The waxes of a flask cut up, as a day with one flask of exactly that size; light enough for one melt."""
    size, boxes, _ = a_known_layout(seed)
    waxes = [
        a_wax(f"w{i}", wax_g=0.5, width_mm=box.width_mm, depth_mm=box.depth_mm, height_mm=20.0)
        for i, box in enumerate(boxes)
    ]
    return a_day(waxes, flask_sizes=(replace(size, count=1),))


def scattered(chance: random.Random, count: int) -> tuple[list[Footprint], list[Place]]:
    """Waxes of chance anywhere on a wide base."""
    waxes = [Footprint(chance.uniform(6, 26), chance.uniform(2.5, 12), 6.5) for _ in range(count)]
    places = [
        Place(round(chance.uniform(-22, 22), 3), round(chance.uniform(-22, 22), 3), round(chance.uniform(0, 360), 3))
        for _ in range(count)
    ]
    return waxes, places


def verdicts(layouts: int, enough: int) -> tuple[int, int, list[str]]:
    """Layouts that shapely accepts and refuses, at most `enough` of each, and where the verifier says otherwise.

    A lack within 0.0012 mm of nothing is left away: there the verifier's margin of 0.001 mm decides.
    """
    chance, accepted, refused, wrong = random.Random(f"verdicts {layouts}"), 0, 0, []
    for number in range(100 * layouts):
        base = chance.choice([Base(101.6, 20, 1, 20, 1), Base(101.6, 24, 6, 12, 3), Base(76.2, 27, 3, 7, 3)])
        waxes, places = scattered(chance, chance.choice((2, 3)))
        lack = lacks(waxes, places, base)
        if abs(lack) <= 0.0012 or (accepted if lack < 0 else refused) >= enough:
            continue
        accepted, refused = accepted + (lack < 0), refused + (lack > 0)
        if (not faults(waxes, places, base)) is not (lack < 0):
            wrong.append(f"layout {number}: lacks {lack:.4f} mm, but {faults(waxes, places, base) or 'accepted'}")
        if accepted == refused == enough:
            break
    return accepted, refused, wrong


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--days", type=int, default=200)
    parser.add_argument("--layouts", type=int, default=10_000)
    parser.add_argument("--work", type=int, default=32)
    asked = parser.parse_args()
    refused, missed, late, took = [], [], [], []
    for seed in range(asked.days):
        size, waxes, places = a_known_layout(seed)
        began = process_time()
        found = find_layout(waxes, base_of(size), asked.work)
        took.append(process_time() - began)
        if faults(waxes, places, base_of(size)):
            refused.append(seed)
        if found is None:
            missed.append(seed)
        elif took[-1] > 0.2:
            late.append(seed)
    plans = [
        seed for seed in range(asked.days) if len((plan := group(a_full_day(seed), 100)).groups) != 1 or plan.left_out
    ]
    print(
        f"{asked.days} flasks cut up: the verifier refuses {refused}; the search at work {asked.work} misses {missed}"
    )
    print(f"a yes over 0.2 s: {late}; median {sorted(took)[len(took) // 2]:.3f} s, worst {max(took):.2f} s")
    print(f"days not planned in their one flask: {plans}")
    accepted, denied, wrong = verdicts(asked.layouts, asked.layouts)
    print(f"against shapely: {accepted} that hold, {denied} that do not, {len(wrong)} verdicts wrong", *wrong, sep="\n")


if __name__ == "__main__":
    main()
