"""Bowls: which flasks are mixed together, and the powder and water of each."""

from __future__ import annotations

import math
from collections.abc import Mapping

from casting.calc.quantities.investment import powder_bare, powder_for, slurry_ml, water_for
from casting.calc.quantities.lookup import up_to_step
from casting.calc.values.day_input import DayInput, FlaskSize, Investment, Rules
from casting.calc.values.day_plan import Bowl
from casting.calc.values.tolerances import SLACK


def bowl_powder(sizes: list[FlaskSize], investment: Investment, rules: Rules) -> int:
    """Return the powder of one bowl.

    Parameters
    ----------
    sizes : list of FlaskSize
        The flasks filled from it.
    investment : Investment
        The powder.
    rules : Rules
        `bowl_extra_g`, what sticks to a bowl.

    Returns
    -------
    int
        Powder [g]: the larger of the flasks' powder with allowance, and of the same without it
        plus what sticks to the bowl.
    """
    with_allowance = sum(powder_for(size, investment) for size in sizes)
    bare = sum(powder_bare(size, investment) for size in sizes) + rules.bowl_extra_g
    return max(with_allowance, round(up_to_step(bare, 1)))


def too_large_for_bowl(sizes: list[FlaskSize], day: DayInput) -> bool:
    """Tell whether the slurry of these flasks is too much for the bowl: it rises in the vacuum.

    Parameters
    ----------
    sizes : list of FlaskSize
        The flasks that would be filled from one bowl.
    day : DayInput
        The day, for its powder, its bowl and how much of it slurry may fill.

    Returns
    -------
    bool
        True if it is too much.
    """
    slurry = slurry_ml(bowl_powder(sizes, day.investment, day.rules), day.investment)
    return slurry > day.rules.bowl_ml / day.rulebook.limit("bowl_for_slurry_ml_per_ml") + SLACK


def flasks_in_time(day: DayInput) -> int:
    """Return how many flasks are filled from one bowl before its mix sets.

    Parameters
    ----------
    day : DayInput
        The day, for what was measured of its mix, its rules and limits.

    Returns
    -------
    int
        The rule's `flasks_per_bowl`; fewer where a mix of the day set sooner than the powder's record says. 0 if
        even one flask takes longer.
    """
    if day.working_min >= day.investment.working_min:
        return day.rules.flasks_per_bowl
    left_min = day.working_min * day.rulebook.limit("mix_done_pct") / 100 - day.rulebook.limit("mix_bowl_min")
    return max(0, min(day.rules.flasks_per_bowl, math.floor(left_min / day.rulebook.limit("mix_flask_min") + 1e-9)))


def fill_bowls(flasks: Mapping[str, FlaskSize], groups: Mapping[str, object], day: DayInput) -> tuple[Bowl, ...]:
    """Return the bowls of the day, by first fit, with flasks of one kiln together where that needs no more bowls.

    Parameters
    ----------
    flasks : mapping of str to FlaskSize
        The flasks to invest, by label.
    groups : mapping of str to object
        The kiln of each label.
    day : DayInput
        The day, for its powder and its rules of bowls.

    Returns
    -------
    tuple of Bowl
        Largest powder first. A flask too large for the bowl has one of its own.
    """
    investment, rules, to_a_bowl = day.investment, day.rules, max(1, flasks_in_time(day))
    bowls: list[list[str]] = []
    for label in sorted(flasks, key=lambda name: (-powder_for(flasks[name], investment), str(groups[name]), name)):
        open_bowls = [
            bowl
            for bowl in bowls
            if len(bowl) < to_a_bowl and not too_large_for_bowl([flasks[name] for name in [*bowl, label]], day)
        ]
        if open_bowls:
            min(open_bowls, key=lambda bowl: groups[bowl[0]] != groups[label]).append(label)
        else:
            bowls.append([label])
    filled = []
    for bowl in bowls:
        powder_g = bowl_powder([flasks[name] for name in bowl], investment, rules)
        filled.append(Bowl(tuple(bowl), powder_g, water_for(powder_g, investment)))
    return tuple(filled)
