"""Questions about figures of a wax that may be so and seldom are: asked once, in the bar."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext

from casting.calc.values.day_plan import LeftOut
from casting.calc.values.enums import Reason
from casting.presenters.formats import plain, weighed
from casting.units import Mass
from school.models import School

TEN_FROM, TEN_TO = Decimal(8), Decimal("12.5")
"""About ten times: a slipped comma beside a piece of much the same size."""
MUCH_THE_SAME = Decimal(3)
INCHES_MOST_MM = Decimal(4)
"""No wax has all its sides under this with its sprue; in inches many have (common practice)."""


@dataclass(frozen=True, slots=True)
class Figures:
    """The weight of a wax in g and its sides in mm."""

    wax_g: Decimal
    width_mm: Decimal
    depth_mm: Decimal
    height_mm: Decimal

    @property
    def sides_mm(self) -> tuple[Decimal, Decimal, Decimal]:
        """Width, depth and height."""
        return self.width_mm, self.depth_mm, self.height_mm

    @property
    def box_mm3(self) -> Decimal:
        """The box around it."""
        return self.width_mm * self.depth_mm * self.height_mm


def questions(now: Figures, last: Figures | None, said: Callable[[Decimal], str]) -> Iterator[str]:
    """Yield each question about a wax, `last` being its student's wax before; `said` words a length."""
    if now.height_mm < min(now.width_mm, now.depth_mm):
        sentence = gettext(
            "It is %(height)s tall, less than it is wide or deep. Is that the height on its sprue, from the sprue's "
            "foot to the top?"
        )
        yield sentence % {"height": said(now.height_mm)}
    if last is not None and (times := _ten_times(now, last)):
        yield times


def _ten_times(now: Figures, last: Figures) -> str:
    """A question about a slipped comma, if the wax before was of much the same size and its weight ten times off."""
    if not 1 / MUCH_THE_SAME <= now.box_mm3 / last.box_mm3 <= MUCH_THE_SAME:
        return ""
    shown = {"now": weighed(now.wax_g), "last": weighed(last.wax_g)}
    sentence = ""
    if TEN_FROM <= now.wax_g / last.wax_g <= TEN_TO:
        sentence = gettext("%(now)s is about ten times your last one, %(last)s, not much smaller. Is it right?")
    elif TEN_FROM <= last.wax_g / now.wax_g <= TEN_TO:
        sentence = gettext("%(now)s is about a tenth of your last one, %(last)s, not much larger. Is it right?")
    return sentence % shown if sentence else ""


def in_inches_instead(sides_mm: tuple[Decimal, Decimal, Decimal]) -> str:
    """A question for sides that are too small for mm and fit in inches; nothing if they are large enough."""
    if max(sides_mm) >= INCHES_MOST_MM:
        return ""
    typed = " × ".join(plain(side) for side in sides_mm)
    sentence = gettext("%(typed)s mm is tiny. Are these inches? Then write in behind each of them: %(first)s in.")
    return sentence % {"typed": typed, "first": plain(sides_mm[0])}


def no_room(why: LeftOut | None) -> str:
    """A question about a size that no flask of the day takes: a slipped comma, or a sprue that can be cut first."""
    if why is None or why.reason not in (Reason.TOO_TALL, Reason.TOO_WIDE):
        return ""
    return gettext("Is that its size? Look for a slipped comma.")


def other_scale(found: Mapping[str, Any], school: School) -> str:
    """A question about a unit that the school's scale does not show: 1.5 of one is hardly ever 1.5 of the other."""
    unit, scale = Mass(found["unit"]), Mass(school.weight_unit)
    if unit == scale:
        return ""
    sentence = gettext(
        "Is it %(entered)s %(scale)s? The school's scale shows %(scale)s, and you chose %(unit)s. "
        "Choose %(scale)s, or press the button again if it is %(unit)s."
    )
    return sentence % {"entered": found["weight"].strip(), "scale": scale.value, "unit": unit.value}
