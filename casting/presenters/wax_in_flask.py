"""A wax as its student is told of it: its flask and place, its metal and what that costs."""

from __future__ import annotations

import math
from dataclasses import dataclass

from django.utils.translation import gettext as _

from casting.calc.values.day_plan import Place, TreePlace
from casting.models import Plan
from casting.presenters.piece_price import PiecePrice, PiecePrices
from casting.presenters.plan_sheet import FlaskSheet, WaxOnBase
from casting.selectors.kept_shelf import shelf_at

CENTRE_MM = 1.0
"""A foot this near the axis has no hour."""


@dataclass(frozen=True, slots=True)
class WaxInFlask:
    """A wax with its flask, and what it will cost if that is known."""

    on_base: WaxOnBase
    flask: FlaskSheet
    price: PiecePrice | None

    @property
    def own_metal(self) -> bool:
        """True if the student brought the metal."""
        return self.flask.owner is not None

    @property
    def metals_g(self) -> list[float]:
        """Its metal, the button not counted."""
        return [self.on_base.metal_g]

    @property
    def where(self) -> str:
        """Where it stands, seen from the wax side with the notch at 12 o'clock."""
        return hour_of(self.on_base.place)


def priced(on_base: WaxOnBase, flask: FlaskSheet, prices: PiecePrices) -> WaxInFlask:
    """Return a wax with its flask and its price."""
    price = prices.of(flask.alloy.key, on_base.metal_g, own=flask.owner is not None)
    return WaxInFlask(on_base, flask, price)


def prices_of(plan: Plan) -> PiecePrices:
    """Return the prices that a day's bills are made by now, else those of a gram as recorded in the day file."""
    per_gram = {alloy["key"]: alloy.get("price_per_g") for alloy in plan.day_values.get("alloys", [])}
    return PiecePrices(shelf_at(plan.day.course.school).prices, per_gram)


def hour_of(place: Place) -> str:
    """Return where a wax stands as an hour of a clock, its 12 at the notch, seen from the wax side; its tier first."""
    if isinstance(place, TreePlace):
        hour = hour_of(Place(place.x_mm, place.y_mm, place.turn_deg))
        return _("tier %(tier)d, %(hour)s") % {"tier": place.tier, "hour": hour}
    if math.hypot(place.x_mm, place.y_mm) < CENTRE_MM:
        return _("centre")
    turns = math.atan2(place.x_mm, place.y_mm) / math.tau
    return _("%(hour)d o'clock") % {"hour": round(turns * 12) % 12 or 12}
