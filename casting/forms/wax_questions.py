"""Questions about figures of a wax that may be so and seldom are: asked once and one by one, each answered by yes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import ROUND_UP, Decimal
from typing import Any

from django.utils.translation import gettext

from casting.calc.values.day_plan import LeftOut
from casting.calc.values.enums import Reason
from casting.presenters.formats import grams as grams_said
from casting.presenters.formats import plain, weighed
from casting.units import Mass, grams
from school.models import School

TEN_FROM, TEN_TO = Decimal(8), Decimal("12.5")
"""About ten times: a slipped comma beside a piece of much the same size."""
MUCH_THE_SAME = Decimal(3)
INCHES_MOST_MM = Decimal(4)
"""No wax has all its sides under this with its sprue; in inches many have (common practice)."""


SOLID_MOST = Decimal("1.05")
"""A wax may weigh so much more than a solid block of its size, for a ruler is read roughly."""
THINNEST_MM = Decimal("0.5")
"""No wall that anybody casts is thinner (common practice), unless it was measured."""
QUARTER_TURN = Decimal("1.5708")
"""Half of pi: the length of a half circle beside its diameter."""
ACROSS_MOST = Decimal("1.25")
"""A wax is seldom so much wider than it is tall with its sprue: two in 3600 of the invented class days are."""


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

    def solid_g(self, specific_gravity: Decimal) -> Decimal:
        """What a solid block of its size weighs."""
        return self.box_mm3 / 1000 * specific_gravity

    def band_g(self, thin_mm: Decimal | None, specific_gravity: Decimal) -> Decimal:
        """What half a ring weighs that lies in its two smaller sides, its wall as thin as the wax is anywhere.

        A wax that reaches from side to side has hardly less, be it hollow inside or of wire.
        """
        short_mm, across_mm, _long_mm = sorted(self.sides_mm)
        wall_mm = min(wall_of(thin_mm), short_mm)
        return QUARTER_TURN * (across_mm - wall_mm) * short_mm * wall_mm / 1000 * specific_gravity


def wall_of(thin_mm: Decimal | None) -> Decimal:
    """The thinnest wall to reckon with: "very thin" has no lower end of its own."""
    return thin_mm or THINNEST_MM


def other_unit(unit: Mass, wax_g: Decimal, least_g: Decimal, most_g: Decimal) -> Mass | None:
    """The other of gram and pennyweight, if the same number of it would fit the size."""
    other = Mass.GRAM if unit == Mass.PENNYWEIGHT else Mass.PENNYWEIGHT
    other_g = wax_g * grams(Decimal(1), other) / grams(Decimal(1), unit)
    return other if least_g <= other_g <= most_g else None


def too_heavy(wax_g: Decimal, solid_g: Decimal, other: Mass | None, alone: bool) -> str:
    """What is wrong with a wax heavier than a solid block of its size, and the likeliest way out."""
    sentence = gettext("%(weight)s is more than a solid block of that size weighs, %(solid)s.")
    if other is not None:
        remedy = gettext("If the scale showed %(unit)s, choose %(unit)s.") % {"unit": other.value}
    elif alone:
        remedy = gettext("Look for a slipped comma, or measure it again.")
    else:
        remedy = gettext("Look for a slipped comma, weigh it without the base, or measure it again.")
    return f"{sentence} {remedy}" % {"weight": weighed(wax_g), "solid": grams_said(solid_g)}


def too_light(
    now: Figures, thin_mm: Decimal | None, least_g: Decimal, other: Mass | None, said: Callable[[Decimal], str]
) -> str:
    """A question about a wax lighter than `least_g`, its `band_g`; it may still be so."""
    short_mm, across_mm, _long_mm = sorted(now.sides_mm)
    sentence = gettext(
        "%(weight)s is very little for that size: half a ring %(across)s across, %(wide)s wide and %(thin)s thick "
        "weighs %(least)s."
    )
    if other is not None:
        remedy = gettext("If the scale showed %(unit)s, choose %(unit)s. Is %(weight)s right?")
    else:
        remedy = gettext("Look for a slipped comma. Is that what the scale shows?")
    shown = {"across": said(across_mm), "wide": said(short_mm), "thin": said(min(wall_of(thin_mm), short_mm))}
    # Never shown as less than the weight that it is compared with.
    weights = {"weight": weighed(now.wax_g), "least": weighed(least_g.quantize(Decimal("0.01"), ROUND_UP))}
    return f"{sentence} {remedy}" % (shown | weights | {"unit": other and other.value})


def questions(now: Figures, last: Figures | None, said: Callable[[Decimal], str]) -> Iterator[str]:
    """Yield each question about a wax, `last` being its student's wax before; `said` words a length."""
    across_mm = max(now.width_mm, now.depth_mm)
    if now.height_mm < min(now.width_mm, now.depth_mm) or across_mm > ACROSS_MOST * now.height_mm:
        sentence = gettext(
            "It is %(across)s across and %(height)s tall. Is that its height on its sprue, from the sprue's foot to "
            "the top?"
        )
        yield sentence % {"across": said(across_mm), "height": said(now.height_mm)}
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
    if cut_helps(why):
        return gettext("Will you leave it as it is?")
    return gettext("Is that its size? Look for a slipped comma.")


def cut_helps(why: LeftOut | None) -> bool:
    """Whether a flask takes it once its sprue is cut."""
    return why is not None and why.cure is not None


def other_scale(found: Mapping[str, Any], school: School) -> Iterator[str]:
    """Yield a question about a unit that the school's scale does not show: they are hardly ever mixed."""
    unit, scale = Mass(found["unit"]), Mass(school.weight_unit)
    if unit == scale:
        return
    sentence = gettext("The school's scale shows %(scale)s, and you chose %(unit)s. Is it %(entered)s %(unit)s?")
    yield sentence % {"entered": found["weight"].strip(), "scale": scale.value, "unit": unit.value}
