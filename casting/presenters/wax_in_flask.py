"""A wax as its student is told of it: its flask and place, its metal and what that costs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from casting.calc.values.day_plan import Place, TreePlace
from casting.models import Plan
from casting.presenters.formats import rounded
from casting.presenters.plan_sheet import FlaskSheet, WaxOnBase

CENTRE_MM = 1.0
"""A foot this near the axis has no hour."""


@dataclass(frozen=True, slots=True)
class WaxInFlask:
    """A wax with its flask and the price of its metal."""

    on_base: WaxOnBase
    flask: FlaskSheet
    price_per_g: float | None

    @property
    def own_metal(self) -> bool:
        """True if the student brought the metal."""
        return self.flask.owner is not None

    @property
    def metals_g(self) -> list[float]:
        """Its metal, the button not counted."""
        return [self.on_base.metal_g]

    @property
    def cost(self) -> float | None:
        """What the metal of the wax costs, no button counted; None if nobody recorded a price."""
        return cost_of(self.on_base.metal_g, self.price_per_g)

    @property
    def where(self) -> str:
        """Where it stands, seen from the wax side with the notch at 12 o'clock."""
        return hour_of(self.on_base.place)


def cost_of(metal_g: float, price_per_g: float | None) -> float | None:
    """Return what metal costs to the hundredth; None without a price.

    Rounded here, as each line is printed, so that the lines of a slip add up to what it says together.
    """
    if price_per_g is None:
        return None
    return float(rounded(Decimal(repr(metal_g)) * Decimal(repr(price_per_g))))


def prices_of(plan: Plan) -> dict[str, float | None]:
    """Return the price per gram of each metal, as recorded in the day file."""
    return {alloy["key"]: alloy.get("price_per_g") for alloy in plan.day_values.get("alloys", [])}


def hour_of(place: Place) -> str:
    """Return where a wax stands as an hour of a clock, its 12 at the notch, seen from the wax side; its tier first."""
    if isinstance(place, TreePlace):
        hour = hour_of(Place(place.x_mm, place.y_mm, place.turn_deg))
        return _("tier %(tier)d, %(hour)s") % {"tier": place.tier, "hour": hour}
    if math.hypot(place.x_mm, place.y_mm) < CENTRE_MM:
        return _("centre")
    turns = math.atan2(place.x_mm, place.y_mm) / math.tau
    return _("%(hour)d o'clock") % {"hour": round(turns * 12) % 12 or 12}
