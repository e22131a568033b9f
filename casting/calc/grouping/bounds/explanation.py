"""Explanation of the lower bound on flasks: sentences for a teacher, with sums to be checked by hand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds, FlaskBound
from casting.calc.grouping.flask_rules import Family, Item
from casting.calc.grouping.solution import Flasks
from casting.calc.values.day_input import SCHOOL


def explain(
    bounds: CombinatorialBounds,
    flasks: Flasks,
    loose: Sequence[Item],
    met: bool,
    number: int,
    families: Mapping[Family, int],
) -> str:
    """Return the sentences that explain the bound: one for each alloy, and one for the shelf if it binds.

    Parameters
    ----------
    bounds : CombinatorialBounds
        Combinatorial bounds of the day.
    flasks : tuple of Flask
        The plan's flasks.
    loose : sequence of Item
        The waxes in no fixed flask that some usable size takes.
    met : bool
        Whether the plan leaves out as few waxes as any.
    number : int
        The lower bound on flasks.
    families : mapping of Family to int
        What column generation proved of each family.

    Returns
    -------
    str
        Sentences; a day without waxes needs no flask.
    """
    items = bounds.rules.items.values()
    alloys = sorted({item.wax.alloy for item in items})
    if not alloys:
        return "There are no waxes, so no flask is needed."
    sentences, total = [], 0
    for alloy in alloys:
        sentence, least = _of_alloy(bounds, flasks, loose, met, alloy, families)
        sentences.append(sentence)
        total += least
    if met and number > total:
        sentences.append(f"All together at least {number}, because they want the same sizes of the shelf.")
    return " ".join(sentences)


def _of_alloy(
    bounds: CombinatorialBounds,
    flasks: Flasks,
    loose: Sequence[Item],
    met: bool,
    alloy: str,
    families: Mapping[Family, int],
) -> tuple[str, int]:
    rules = bounds.rules
    has = [flask for flask in flasks if rules.items[min(flask.keys)].wax.alloy == alloy]
    inside = {key for flask in has for key in flask.keys}
    mine = [item for item in loose if item.wax.alloy == alloy]
    out = sum(item.key not in inside for item in mine)
    fixed = sum(flask.fixed for flask in has)
    own: dict[Family, list[Item]] = {}
    for item in sorted(mine, key=lambda item: item.family):
        own.setdefault(item.family, []).append(item)
    needed = {
        family: _stronger(bounds.fewest_flasks(theirs), len(theirs), families.get(family, 0))
        for family, theirs in own.items()
    }
    needed = dict(sorted(needed.items(), key=lambda one: (one[0][1] != SCHOOL, one[0][2], -one[1].flasks)))
    least = max(fixed, fixed + sum(need.flasks for need in needed.values()) - out)
    because = _because(needed, len(mine), fixed)
    if len(needed) + bool(fixed) + bool(out) > 1:
        because += _summed([need.flasks for need in needed.values()], fixed, out, least)
    return _sentence(rules.day.alloys[alloy].name, len(has), least, because, met), least


def _because(needed: Mapping[Family, FlaskBound], waxes: int, fixed: int) -> str:
    """What follows "because", without its full stop; with several families, then a sentence for each."""
    if not needed:
        return f"{_flasks(fixed)} {'stays' if fixed == 1 else 'stay'} as before"
    if len(needed) == 1:
        (need,) = needed.values()
        return need.because if need.flasks > 1 else f"{_waxes(waxes)} {'needs' if waxes == 1 else 'need'} one"
    owners, kinds = ({family[at] for family in needed} for at in (1, 2))
    apart = ["metals of different owners"] if len(owners) > 1 else []
    apart += [f"{' and '.join(sorted(kinds))} pieces"] if len(kinds) > 1 else []
    sentences = [f"{apart[0]} share no flask" + "".join(f", nor do {kinds_apart}" for kinds_apart in apart[1:])]
    said = Counter((_called(family, len(owners) > 1, len(kinds) > 1), need) for family, need in needed.items())
    for (called, need), students in said.items():
        each = f" for each of {students} students" if students > 1 else ""
        # A reason that has a colon itself is a sentence of its own.
        sections = ". " + need.because[:1].upper() + need.because[1:]
        figures = "" if need.flasks < 2 else sections if ": " in need.because else f": {need.because}"
        sentences.append(f"{called} needs {_flasks(need.flasks)}{each}{figures}")
    return ". ".join(sentences)


def _called(family: Family, by_owner: bool, by_kind: bool) -> str:
    """The name of a family among those of its alloy, by what they differ in."""
    _alloy, owner, kind = family
    if not by_owner:
        return kind.capitalize()
    whose = "The school's metal" if owner == SCHOOL else "A student's own metal"
    return f"{whose} in {kind}" if by_kind else whose


def _summed(flasks: Sequence[int], fixed: int, out: int, least: int) -> str:
    """The sum that gives `least`, with its terms for fixed flasks and waxes left out named."""
    sentences = [""]
    if fixed:
        sentences.append(f"{_flasks(fixed)} {'stays' if fixed == 1 else 'stay'} as before")
    if out:
        sentences.append(f"{_waxes(out)} left out may save {'one' if out == 1 else 'as many'}")
    terms = " + ".join(str(number) for number in [*flasks, *([fixed] if fixed else [])])
    terms += f" - {out}" if out else ""
    if sum(flasks) + fixed - out == least:
        sentences.append(f"{terms} = {least}")
    return ". ".join(sentences)


def _stronger(need: FlaskBound, waxes: int, proved: int) -> FlaskBound:
    """The combinatorial bound, or the bound of column generation where that is higher."""
    if proved <= need.flasks:
        return need
    flasks = f"{proved - 1} flasks take" if proved > 2 else "one flask takes"
    return FlaskBound(
        proved, f"of all that its {_waxes(waxes)} could share by weight, section and place, no {flasks} them all"
    )


def _sentence(name: str, has: int, least: int, because: str, met: bool) -> str:
    flasks = _flasks(has)
    if not has:
        return f"{name}: no flask, as every wax of it is left out."
    if not met:
        return f"{name}: {flasks}. Waxes are left out that another plan might take, so fewer is not ruled out."
    if least == has:
        return f"{name} cannot be done in fewer than {flasks}, because {because}."
    return f"{name}: {flasks}, perhaps fewer: at least {least}, because {because}."


def _waxes(number: int) -> str:
    return "1 wax" if number == 1 else f"{number} waxes"


def _flasks(number: int) -> str:
    return "1 flask" if number == 1 else f"{number} flasks"
