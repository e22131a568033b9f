"""Where the tags of a small drawing stand: on their waxes where they find room, else close beside them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from casting.presenters.plan_sheet import WaxOnBase

WIDE, HIGH = 0.56, 0.72
"""Of the height of the type: a sign's width, and what a capital and its air take."""
AROUND = 16
STEP_MM, FAR_MM = 0.8, 16.0
NEIGHBOUR_MM = 0.8
"""This near to another wax, a tag might be read as that one's."""
WALL_MM = 1.0
CROWDED = 0.25
"""With more of a tag than this over something else, its own wax is the better place."""

Point = tuple[float, float]


def tag_spots(waxes: Sequence[WaxOnBase], diameter_mm: float, type_mm: float) -> list[tuple[Point, bool]]:
    """Return the middle of each wax's tag, from the axis in mm with y towards the notch; True if its wax holds it."""
    taken: list[list[Point]] = []
    spots: list[tuple[Point, bool]] = []
    for wax in waxes:
        half = type_mm * WIDE * len(wax.name.tag) / 2, type_mm * HIGH / 2
        foot = wax.place.x_mm, wax.place.y_mm
        others = [other for other in waxes if other is not wax]
        fits = all(_on(wax, point, 0.0) for point in _points(foot, half))
        at = foot if fits else _beside(wax, half, others, taken, diameter_mm / 2)
        spots.append((at, fits))
        taken.append(_points(at, half))
    return spots


def _beside(
    wax: WaxOnBase, half: Point, others: Sequence[WaxOnBase], taken: Iterable[list[Point]], radius_mm: float
) -> Point:
    """The nearest of the least crowded spots around a wax, outward if it can be; its foot if each is crowded."""
    foot = wax.place.x_mm, wax.place.y_mm
    found = []
    for nth in range(AROUND):
        angle = math.tau * nth / AROUND
        for step in range(1, round(FAR_MM / STEP_MM)):
            at = foot[0] + step * STEP_MM * math.cos(angle), foot[1] + step * STEP_MM * math.sin(angle)
            points = _points(at, half)
            if not any(_on(wax, point, 0.0) for point in points):
                inward = math.hypot(*at) < math.hypot(*foot)
                found.append((_crowding(points, half, others, taken, radius_mm), inward, step, nth, at))
                break
    crowding, *_order, at = min(found, default=(1.0, False, 0, 0, foot))
    return at if crowding <= CROWDED else foot


def _points(at: Point, half: Point) -> list[Point]:
    """A grid of points over a tag that is so wide and high from its middle."""
    return [(at[0] + half[0] * (x - 2) / 2, at[1] + half[1] * (y - 1)) for x in range(5) for y in range(3)]


def _on(wax: WaxOnBase, point: Point, within_mm: float) -> bool:
    """Whether a point lies on a wax, or so near."""
    turn = math.radians(wax.place.turn_deg)
    x, y = point[0] - wax.place.x_mm, point[1] - wax.place.y_mm
    along, across = x * math.cos(turn) + y * math.sin(turn), y * math.cos(turn) - x * math.sin(turn)
    return abs(along) <= wax.wax.width_mm / 2 + within_mm and abs(across) <= wax.wax.depth_mm / 2 + within_mm


def _crowding(
    points: list[Point], half: Point, others: Iterable[WaxOnBase], taken: Iterable[list[Point]], radius_mm: float
) -> float:
    """How much of a tag lies over another wax, another tag or the wall."""
    middles = [tag[len(tag) // 2] for tag in taken]

    def bad(point: Point) -> bool:
        on_tag = any(abs(point[0] - x) <= half[0] and abs(point[1] - y) <= half[1] for x, y in middles)
        on_wall = math.hypot(*point) > radius_mm - WALL_MM
        return on_tag or on_wall or any(_on(other, point, NEIGHBOUR_MM) for other in others)

    return sum(bad(point) for point in points) / len(points)
