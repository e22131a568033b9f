"""Preassigned flasks: fixed ones as the plan before has them, those made by hand, and one for each held label."""

from __future__ import annotations

from casting.calc.grouping.breaches import said, standing, together
from casting.calc.grouping.budget import SEEK_HARD
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.grouping.left_out import exclusion_reason
from casting.calc.grouping.solution import Flask, Flasks
from casting.calc.values.errors import Refused
from casting.calc.values.placed import PlacedFlask
from casting.calc.values.sentence import say, words


def preassigned_flasks(evaluator: FlaskEvaluator) -> Flasks:
    """Return the fixed flasks, the whole ones made by hand, then one for each held label, in a size that takes it.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's stock, kilns and rules.

    Returns
    -------
    tuple of Flask
        Flasks of every plan. The search may add waxes to the held ones, and change the size of those that nobody made
        by hand.

    Raises
    ------
    Refused
        If a fixed flask, one made by hand or a held wax cannot be kept as the day asks.
    """
    for nth, flask in enumerate(evaluator.rules.day.placed):
        _refuse_broken(evaluator.rules, flask, f"placed[{nth}]")
        if flask.is_laid_out:
            evaluator.give(flask.spots, flask.size)
    fixed = _with_whole(evaluator, _fixed_flasks(evaluator))
    held = _held_waxes(evaluator, fixed)
    return fixed + _held_flasks(evaluator, fixed, held)


def is_settled(rules: FlaskRules) -> bool:
    """Return whether nothing is left to search for: every wax has its spot in a whole flask, or goes into none.

    Parameters
    ----------
    rules : FlaskRules
        The day's rules.

    Returns
    -------
    bool
        True if a plan of the day only has to be checked and put on the clock.
    """
    placed = rules.day.placed
    laid_out = {flask.label for flask in placed if flask.is_laid_out}
    inside = {key for flask in placed if flask.is_laid_out for key in flask.keys}
    return (
        bool(placed)
        and len(laid_out) == len(placed)
        and laid_out.issuperset(rules.day.fixed)
        and laid_out.issuperset(rules.day.held.values())
        and all(key in inside or exclusion_reason(rules, key) is not None for key in rules.items)
    )


def _refuse_broken(rules: FlaskRules, flask: PlacedFlask, place: str) -> None:
    """Refuse a flask made by hand whose waxes may not share it, or whose spots break a rule of the layout.

    Of an open flask the waxes that have spots are checked; the others have theirs yet to be found.
    """
    broken = together(rules, [wax.key for wax in flask.waxes], flask.size)
    if not broken and flask.spots and (len(flask.waxes) == 1 or len(flask.spots) > 1):
        broken = standing(rules, flask.spots, flask.size)
    if broken:
        why = said(broken[0], rules, flask.size)
        raise Refused(place, say("flask {flask}: {why}", flask=flask.label, why=why))


def _with_whole(evaluator: FlaskEvaluator, fixed: Flasks) -> Flasks:
    """The fixed flasks and the whole ones made by hand, all with a layout and a place in a kiln."""
    flasks, day = fixed, evaluator.rules.day
    placed = [(nth, flask) for nth, flask in enumerate(day.placed) if flask.whole and flask.label not in day.fixed]
    for nth, flask in placed:
        if evaluator.layout(flask.keys, flask.size, SEEK_HARD) is None:
            called = evaluator.rules.sizes[flask.size].called
            raise Refused(f"placed[{nth}]", say(LAY_OUT, flask=flask.label, size=called))
        flasks = (*flasks, Flask(flask.size, flask.keys, flask.label, fixed=True))
    if placed and not evaluator.kiln_takes(flasks):
        _refuse_without_kiln(evaluator, fixed, placed)
    return flasks


LAY_OUT = words("no layout was found for flask {flask}, a {size}. Give its waxes spots, or take one out.")


def _refuse_without_kiln(evaluator: FlaskEvaluator, flasks: Flasks, placed: list[tuple[int, PlacedFlask]]) -> None:
    """Refuse the first flask made by hand that finds no place in a kiln beside those before it."""
    for nth, flask in placed:
        flasks = (*flasks, Flask(flask.size, flask.keys, flask.label, fixed=True))
        if nth == placed[-1][0] or not evaluator.kiln_takes(flasks):
            wrong = words(
                "no kiln place was found for flask {flask} beside the others. Take one out, or a smaller one."
            )
            raise Refused(f"placed[{nth}]", say(wrong, flask=flask.label))


def _fixed_flasks(evaluator: FlaskEvaluator) -> Flasks:
    flasks: list[Flask] = []
    for number, label in enumerate(evaluator.rules.day.fixed):
        place = f"fixed[{number}]"
        flask = _fixed_flask(evaluator, label, place)
        taken = {key for other in flasks for key in other.keys}
        if flask.keys & taken:
            wax = min(flask.keys & taken)
            raise Refused(place, say("{wax} is also in another fixed flask.", wax=wax))
        if evaluator.rules.sizes[flask.size].count <= sum(other.size == flask.size for other in flasks):
            called = evaluator.rules.sizes[flask.size].called
            raise Refused(
                place, say("flask {flask} is a {size}; the school has no more of them.", flask=label, size=called)
            )
        flasks.append(flask)
        if not evaluator.kiln_takes(flasks):
            wrong = say("no kiln place was found for flask {flask} beside the other fixed flasks.", flask=label)
            raise Refused(place, wrong)
    return tuple(flasks)


def _fixed_flask(evaluator: FlaskEvaluator, label: str, place: str) -> Flask:
    before = evaluator.rules.day.previous.get(label)
    if before is None:
        raise Refused(place, say("{flask} is no flask of the plan before; name one of `previous`.", flask=label))
    if before.size not in evaluator.rules.sizes:
        wrong = say("flask {flask} is a {size}, which is no flask size of the day.", flask=label, size=before.size)
        raise Refused(place, wrong)
    unknown = sorted(set(before.waxes) - set(evaluator.rules.items))
    if unknown or not before.waxes:
        held = tuple(unknown) or say("no waxes")
        raise Refused(place, say("flask {flask} held {waxes:,}, which the day does not have.", flask=label, waxes=held))
    keys = frozenset(before.waxes)
    astray = sorted(key for key in keys if evaluator.rules.day.held.get(key, label) != label)
    if astray:
        other = evaluator.rules.day.held[astray[0]]
        astray_in = words("{wax} is in fixed flask {flask} but held for {other}.")
        raise Refused(place, say(astray_in, wax=astray[0], flask=label, other=other))
    size = evaluator.rules.sizes[before.size].called
    if not evaluator.rules.allows(keys, before.size):
        forbidden = words("the waxes of flask {flask} may not share a flask of {size} by the day's rules.")
        raise Refused(place, say(forbidden, flask=label, size=size))
    if evaluator.layout(keys, before.size, SEEK_HARD) is None:
        no_layout = words("no layout was found for the waxes of flask {flask} in a flask of {size}.")
        raise Refused(place, say(no_layout, flask=label, size=size))
    return Flask(before.size, keys, label, fixed=True)


def _held_waxes(evaluator: FlaskEvaluator, fixed: Flasks) -> dict[str, frozenset[str]]:
    inside = {key for flask in fixed for key in flask.keys}
    labels = {flask.label for flask in fixed}
    held: dict[str, frozenset[str]] = {}
    for key, label in sorted(evaluator.rules.day.held.items()):
        place = f"held.{key}"
        if key not in evaluator.rules.items:
            raise Refused(place, say("there is no wax {wax}; take it out of `held`.", wax=key))
        if key in inside:
            continue
        if label in labels:
            fixed_as = words("flask {flask} is fixed as it was and {wax} is not in it.")
            by_hand = words("flask {flask} is made by hand and whole and {wax} is not in it.")
            wrong = fixed_as if label in evaluator.rules.day.fixed else by_hand
            raise Refused(place, say(wrong, flask=label, wax=key))
        why = exclusion_reason(evaluator.rules, key)
        if why:
            raise Refused(place, say("{wax} fits no flask even alone. {why}", wax=key, why=why.detail))
        held[label] = held.get(label, frozenset()) | {key}
    return held


def _held_flasks(evaluator: FlaskEvaluator, fixed: Flasks, held: dict[str, frozenset[str]]) -> Flasks:
    """A size for each held label such that stock and kilns suffice for all of them; by backtracking."""
    choices = {}
    for label, keys in sorted(held.items()):
        sizes = [size for size in evaluator.rules.alone[min(keys)] if evaluator.fits(keys, size, SEEK_HARD)]
        if not sizes:
            wrong = say("the waxes held for {flask} cannot share one flask.", flask=label)
            raise Refused(_place(evaluator, label, keys), wrong)
        choices[label] = sorted(sizes, key=lambda size: (evaluator.rules.powder_g[size], size))
    found = _choose(evaluator, fixed, held, sorted(choices.items(), key=lambda row: (len(row[1]), row[0])))
    if found is None:
        label = min(held)
        wrong = say("stock and kilns do not suffice for all the held flasks together.")
        raise Refused(_place(evaluator, label, held[label]), wrong)
    return tuple(sorted(found, key=lambda flask: flask.label))


def _place(evaluator: FlaskEvaluator, label: str, keys: frozenset[str]) -> str:
    """Where the day file asks for a label: among the flasks made by hand, or at a held wax."""
    labels = [flask.label for flask in evaluator.rules.day.placed]
    return f"placed[{labels.index(label)}]" if label in labels else f"held.{min(keys)}"


def _choose(
    evaluator: FlaskEvaluator, flasks: Flasks, held: dict[str, frozenset[str]], rest: list[tuple[str, list[str]]]
) -> Flasks | None:
    if not rest:
        return tuple(flask for flask in flasks if not flask.fixed)
    label, sizes = rest[0]
    for size in sizes:
        opened = (*flasks, Flask(size, held[label], label))
        if evaluator.is_feasible(opened):
            found = _choose(evaluator, opened, held, rest[1:])
            if found is not None:
                return found
    return None
