"""What a flask costs: powder, the loss on its button and trunk, a surcharge for mixed sections; and a day's sums."""

from __future__ import annotations

import math
from collections.abc import Sequence

from casting.calc.values.day_input import Alloy, DayInput, Investment, Rules
from casting.calc.values.day_plan import Bowl, FlaskPlan, Totals


def powder_cost(powder_g: float, investment: Investment) -> float:
    """Return the price of dry investment powder.

    Parameters
    ----------
    powder_g : float
        Dry powder [g].
    investment : Investment
        `price_per_kg`; without one, powder costs nothing.

    Returns
    -------
    float
        Price [the school's currency], unrounded.

    Examples
    --------
    >>> from dataclasses import replace
    >>> gypsum = Investment("gypsum", "gypsum", 40, 2.53, 12, 9.5, 120, 750, 4.0)
    >>> powder_cost(283, gypsum), powder_cost(283, replace(gypsum, price_per_kg=None))
    (1.132, 0.0)
    """
    return powder_g * (investment.price_per_kg or 0.0) / 1000


def scrap_cost(scrap_g: float, alloy: Alloy, rules: Rules) -> float:
    """Return what is lost when button and trunk go back as scrap.

    Parameters
    ----------
    scrap_g : float
        Button and trunk [g].
    alloy : Alloy
        `price_per_g`; without one, scrap costs nothing.
    rules : Rules
        `button_cost_pct`, the share of the metal's price that is lost.

    Returns
    -------
    float
        Loss [the school's currency], unrounded.
    """
    return scrap_g * (alloy.price_per_g or 0.0) * rules.button_cost_pct / 100


def flask_cost(
    powder_g: float, scrap_g: float, alloy: Alloy, investment: Investment, rules: Rules, *, mixed: bool
) -> float:
    """Return what one flask costs.

    Parameters
    ----------
    powder_g : float
        Dry powder [g].
    scrap_g : float
        Button and trunk [g].
    alloy : Alloy
        The metal.
    investment : Investment
        The powder.
    rules : Rules
        `button_cost_pct` and `mixed_cost`.
    mixed : bool
        Whether the flask holds waxes of different sections.

    Returns
    -------
    float
        Cost [the school's currency], unrounded. The metal of the pieces themselves is the same
        in every plan, so it does not count.
    """
    surcharge = rules.mixed_cost if mixed else 0.0
    return powder_cost(powder_g, investment) + scrap_cost(scrap_g, alloy, rules) + surcharge


def totals_of(flasks: Sequence[FlaskPlan], bowls: Sequence[Bowl], day: DayInput) -> Totals:
    """Return the sums over a day, the cost as its aim counts it.

    Parameters
    ----------
    flasks : sequence of FlaskPlan
        The flasks of the plan.
    bowls : sequence of Bowl
        Its bowls.
    day : DayInput
        The day, for its waxes and prices.

    Returns
    -------
    Totals
        Powder, water and charges [g], cost [the school's currency] rounded to 0.01, last pour [min from the first].
    """
    charges: dict[str, float] = {}
    cost = 0.0
    for flask in flasks:
        charges[flask.alloy] = charges.get(flask.alloy, 0.0) + flask.charge_g
        scrap_g = flask.button_g + (flask.trunk_g or 0.0)
        mixed = len({day.wax(key).section for key in flask.metal_g}) > 1
        cost += flask_cost(flask.powder_g, scrap_g, day.alloys[flask.alloy], day.investment, day.rules, mixed=mixed)
    return Totals(
        flasks=len(flasks),
        powder_g=sum(bowl.powder_g for bowl in bowls),
        water_g=sum(bowl.water_g for bowl in bowls),
        charge_g=dict(sorted(charges.items())),
        cost=round(cost + 1e-9, 2),
        last_pour_at=max((flask.out_at for flask in flasks), default=None),
        spilled_powder_g=math.fsum(one.powder_g for one in day.spilled),
        spilled_water_g=math.fsum(one.water_g for one in day.spilled),
    )
