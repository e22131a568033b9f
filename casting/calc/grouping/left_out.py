"""Reasons why a wax is left out, with their figures, and what would let it in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from casting.calc.cautions.materials import stopped
from casting.calc.cautions.stones import CURE, stones_forbid
from casting.calc.geometry.from_day import room_above_mm
from casting.calc.geometry.infeasibility import cannot_fit_alone, from_axis_mm
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.grouping.solution import Flasks
from casting.calc.kiln.loading import could_fire, is_high_enough
from casting.calc.quantities.charge import button_by_diameter, charge_limit, largest_charge, trunk_of
from casting.calc.values.day_input import DayInput, Wax
from casting.calc.values.day_plan import LeftOut
from casting.calc.values.enums import Reason
from casting.calc.values.marked_text import named
from casting.calc.values.sentence import or_again, say

KEPT_OUT = "The teacher leaves it out today."


def exclusion_reason(rules: FlaskRules, key: str) -> LeftOut | None:
    """Return why no flask takes a wax, stock and kilns aside.

    Parameters
    ----------
    rules : FlaskRules
        The day's rules.
    key : str
        A wax of the day.

    Returns
    -------
    LeftOut or None
        The first reason that is true of stopped, stones, too_tall, too_wide, over_crucible and kept_out; None if some
        size takes the wax.
    """
    wax = rules.items[key].wax
    sentence = stopped(wax, rules.day)
    if sentence:
        return LeftOut(key, Reason.STOPPED, sentence, None)
    sentence = stones_forbid(wax, rules.day)
    if sentence:
        return LeftOut(key, Reason.STONES, sentence, CURE)
    if rules.alone[key]:
        return LeftOut(key, Reason.KEPT_OUT, KEPT_OUT, None) if key in rules.day.kept_out else None
    if not rules.high_enough[key]:
        return LeftOut(key, Reason.TOO_TALL, _too_tall(rules, wax), _cut(rules, wax))
    if not rules.wide_enough[key]:
        return LeftOut(key, Reason.TOO_WIDE, _too_wide(rules, wax), _cut(rules, wax))
    return LeftOut(key, Reason.OVER_CRUCIBLE, _over_crucible(rules, wax), _lighter(rules, wax) or _cut(rules, wax))


def _too_tall(rules: FlaskRules, wax: Wax) -> str:
    tallest = max((room_above_mm(size) for size in rules.day.flask_sizes), default=0.0)
    if not rules.day.flask_sizes:
        return say("{height_mm} mm tall; the day has no flask sizes.", height_mm=wax.height_mm)
    words = "{height_mm} mm tall; the tallest flask takes {tallest_mm:.1f} mm."
    tall = say(words, height_mm=wax.height_mm, tallest_mm=_down(tallest))
    footprint = rules.items[wax.key].footprint
    cones = [base for base in rules.bases.values() if not base.trunk]
    if len(cones) < len(rules.bases) or not all(cannot_fit_alone(footprint, base) for base in cones):
        return tall
    return say(
        "{tall} It is too wide as well: {width_mm} x {depth_mm} mm is {across_mm:.1f} mm from corner to corner, and "
        "the widest flask takes {usable_mm:.1f} mm.",
        tall=tall,
        width_mm=wax.width_mm,
        depth_mm=wax.depth_mm,
        across_mm=2 * footprint.half_diagonal_mm,
        usable_mm=_down(2 * max(base.usable_mm(footprint) for base in cones)),
    )


def _down(length_mm: float) -> float:
    """Rounded down to 0.1 mm, at least 0."""
    return max(math.floor(length_mm * 10 + 1e-6) / 10, 0.0)


def _too_wide(rules: FlaskRules, wax: Wax) -> str:
    footprint = rules.items[wax.key].footprint
    if all(rules.bases[size].trunk for size in rules.high_enough[wax.key]):
        return _too_wide_for_trees(rules, wax)
    cones = [rules.bases[size] for size in rules.high_enough[wax.key] if not rules.bases[size].trunk]
    usable = max(base.usable_mm(footprint) for base in cones)
    return say(
        "{width_mm} x {depth_mm} mm from above is {across_mm:.1f} mm from corner to corner; flasks high enough for it "
        "take {usable_mm:.1f} mm.",
        width_mm=wax.width_mm,
        depth_mm=wax.depth_mm,
        across_mm=2 * footprint.half_diagonal_mm,
        usable_mm=_down(2 * usable),
    )


def _too_wide_for_trees(rules: FlaskRules, wax: Wax) -> str:
    """The reach of a wax from the axis, its long side to the trunk, in the tree that lacks least for it."""
    footprint = rules.items[wax.key].footprint
    bases = [rules.bases[size] for size in rules.high_enough[wax.key]]
    reaches = [(from_axis_mm(footprint, base), base.usable_mm(footprint)) for base in bases]
    over_mm, reaches_mm, usable_mm = min((reach - usable, reach, usable) for reach, usable in reaches)
    return say(
        "{width_mm} x {depth_mm} mm from above, beside the trunk of a tree, reaches {reaches_mm:.1f} mm from the axis; "
        "flasks high enough for it take {usable_mm:.1f} mm, {over_mm:.1f} mm less.",
        width_mm=wax.width_mm,
        depth_mm=wax.depth_mm,
        reaches_mm=reaches_mm,
        usable_mm=_down(usable_mm),
        over_mm=over_mm,
    )


def _over_crucible(rules: FlaskRules, wax: Wax) -> str:
    alloy = rules.day.alloys[wax.alloy]
    least = min(rules.charge_g([wax.key], size) for size in rules.wide_enough[wax.key])
    limit_g = charge_limit(alloy, rules.day.rules)
    metal = named(alloy.called)
    words = "Alone it needs a charge of at least {least_g:.1f} g of {metal}; one melt takes {limit_g:.1f} g."
    return say(words, least_g=least, metal=metal, limit_g=limit_g)


def _cut(rules: FlaskRules, wax: Wax) -> str | None:
    """The cut of the sprue, in whole mm, that lets the wax in."""
    for cut_mm in range(1, math.floor(rules.day.rulebook.limit("sprue_cut_most_mm")) + 1):
        if wax.height_mm - cut_mm > 0:
            day = replace(rules.day, waxes=(replace(wax, height_mm=wax.height_mm - cut_mm),))
            if FlaskRules(day).alone[wax.key]:
                return say("cut the sprue by {cut_mm} mm", cut_mm=cut_mm)
    return None


def most_metal_g(day: DayInput, wax: Wax, size_key: str) -> float:
    """Return the most metal that a wax may have alone in a flask.

    Parameters
    ----------
    day : DayInput
        The day.
    wax : Wax
        A wax of the day, for its alloy and section.
    size_key : str
        The flask's size.

    Returns
    -------
    float
        Metal without button and trunk [g]; 0 or less if even those are too much.
    """
    rules, alloy, size = day.rules, day.alloys[wax.alloy], day.size(size_key)
    charge_g, fixed_g = largest_charge(alloy, rules), button_by_diameter(size, alloy, rules)
    trunk_g = trunk_of(size.trunk_mm or 0.0, size.trunk_gap_mm or 0.0, alloy.specific_gravity)
    return min(charge_g / (1 + rules.button_pct[wax.section] / 100), charge_g - fixed_g) - trunk_g


def _lighter(rules: FlaskRules, wax: Wax) -> str | None:
    """How much lighter the wax must be to melt alone; None if that is more than half of it."""
    metal_g = rules.items[wax.key].metal_g
    most_g = max(most_metal_g(rules.day, wax, size) for size in rules.wide_enough[wax.key])
    off_g = math.ceil((metal_g - most_g) / metal_g * wax.wax_g * 10 - 1e-9) / 10
    if most_g <= 0 or off_g > wax.wax_g / 2:
        return None
    return say("make the wax {off_g:.1f} g lighter", off_g=off_g)


def shortage_reason(evaluator: FlaskEvaluator, key: str, flasks: Flasks) -> LeftOut:
    """Return why a wax that some size takes is left out: no flask left, or no kiln room.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's stock and kilns.
    key : str
        A wax without an `exclusion_reason`.
    flasks : tuple of Flask
        The flasks of the plan.

    Returns
    -------
    LeftOut
        no_kiln_room if a flask that takes it is unused, else no_flask_left.
    """
    takes = evaluator.rules.alone[key]
    spare = evaluator.spare(flasks)
    unused = [size for size in takes if spare[size]]
    if unused:
        return LeftOut(key, Reason.NO_KILN_ROOM, _no_kiln_room(evaluator, unused, len(flasks)), None)
    called = {size: named(evaluator.rules.sizes[size].called) for size in takes}
    stock = [say("{size} (the school has {number})", size=called[size], number=evaluator.stock[size]) for size in takes]
    detail = say("No flask that would take it is left: {stock:,}.", stock=stock)
    cure = next(
        (
            say("one more {size} flask", size=called[size])
            for size in takes
            if evaluator.kiln_room_for(key, size, flasks)
        ),
        None,
    )
    return LeftOut(key, Reason.NO_FLASK_LEFT, detail, cure)


def _too_tall_for_kilns(day: DayInput, sizes: Sequence[str]) -> str:
    """What is said of sizes that are too tall for every kiln; nothing if one is not."""
    lowest = min((day.size(size) for size in sizes), key=lambda size: size.height_mm)
    if any(is_high_enough(kiln, day.rules, lowest.height_mm) for kiln in day.kilns):
        return ""
    chamber_mm = max(kiln.height_mm for kiln in day.kilns)
    under_mm, over_mm = day.rules.kiln_under_mm, day.rules.kiln_over_mm
    return say(
        "it is {height_mm} mm tall. The highest kiln has {chamber_mm} mm, of which {under_mm} mm stay free under a "
        "flask and {over_mm} mm over it: it takes flasks up to {room_mm} mm.",
        height_mm=lowest.height_mm,
        chamber_mm=chamber_mm,
        under_mm=under_mm,
        over_mm=over_mm,
        room_mm=chamber_mm - under_mm - over_mm,
    )


def _no_kiln_room(evaluator: FlaskEvaluator, unused: Sequence[str], flasks: int) -> str:
    """Why an unused flask that would take the wax cannot be fired."""
    called = [named(evaluator.rules.sizes[size].called) for size in unused]
    return say("A {sizes} flask would take it, but {but}", sizes=or_again(called), but=_but(evaluator, unused, flasks))


def _but(evaluator: FlaskEvaluator, unused: Sequence[str], flasks: int) -> str:
    """What keeps these sizes from being fired, to the end of the sentence."""
    if not evaluator.rules.day.kilns:
        return say("the day has no kiln.")
    if not evaluator.rules.day.firings:
        return say("the day has no firing.")
    too_tall = _too_tall_for_kilns(evaluator.rules.day, unused)
    if too_tall:
        return too_tall
    if not flasks or not any(could_fire(evaluator.rules.day, evaluator.rules.sizes[size]) for size in unused):
        return say("no kiln of the day is large enough for it, or no firing suits it and its material.")
    more = say("the flask of the plan" if flasks == 1 else "the {flasks} flasks of the plan", flasks=flasks)
    return say("beside {more} the kilns have no room for another that can be fired with them.", more=more)
