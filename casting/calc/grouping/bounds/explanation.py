"""Explanation of the lower bound on flasks: sentences for a teacher, with sums to be checked by hand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds, FlaskBound
from casting.calc.grouping.flask_rules import Family, Item
from casting.calc.grouping.solution import Flasks
from casting.calc.values.day_input import SCHOOL
from casting.calc.values.enums import Kind
from casting.calc.values.marked_text import waxes_in_words

KIND_WORDS = {"": "waxes", Kind.WAX: "waxes", Kind.RESIN: "resin prints", Kind.STONES: "waxes with stones"}
"""What a sentence calls the patterns of a family; where kinds mix they are all waxes."""


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
        sentences += [sentence] if sentence else []
        total += least
    if met and number > total:
        sentences.append(f"Together they need at least {number}, because they compete for the same flask sizes.")
    if not sentences:
        return "One flask is the fewest there can be." if len(alloys) == 1 else "Each metal needs its own flask."
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
    """What follows the colon, without its full stop; with several families, then a sentence for each."""
    if not needed:
        return f"{_flasks(fixed)} {'stays as it is' if fixed == 1 else 'stay as they are'}"
    if len(needed) == 1:
        (need,) = needed.values()
        alone = f"{waxes_in_words(waxes)} {'needs' if waxes == 1 else 'need'} 1 flask"
        return need.because if need.flasks > 1 else alone
    owners, kinds = ({family[at] for family in needed} for at in (1, 2))
    apart = ["metals of different owners"] if len(owners) > 1 else []
    apart += [" and ".join(sorted(KIND_WORDS[kind] for kind in kinds))] if len(kinds) > 1 else []
    sentences = [f"{apart[0]} share no flask" + "".join(f", nor do {kinds_apart}" for kinds_apart in apart[1:])]
    said = Counter((_called(family, len(owners) > 1, len(kinds) > 1), need) for family, need in needed.items())
    for (called, need), students in said.items():
        each = f" for each of {students} students" if students > 1 else ""
        # A reason that has a colon itself is a sentence of its own.
        sections = ". " + need.because[:1].upper() + need.because[1:]
        figures = "" if need.flasks < 2 else sections if ": " in need.because else f": {need.because}"
        sentences.append(f"{called} {_flasks(need.flasks)}{each}{figures}")
    return ". ".join(sentences)


def _called(family: Family, by_owner: bool, by_kind: bool) -> str:
    """The name of a family among those of its alloy, by what they differ in, with the verb "need"."""
    _alloy, owner, kind = family
    pieces = f"{KIND_WORDS[kind]} need"
    if not by_owner:
        return f"The {pieces}"
    whose = "the school's metal" if owner == SCHOOL else "a student's own metal"
    return f"In {whose} the {pieces}" if by_kind else f"{whose[0].upper()}{whose[1:]} needs"


def _summed(flasks: Sequence[int], fixed: int, out: int, least: int) -> str:
    """The sum that gives `least`, with its terms for fixed flasks and waxes left out named."""
    sentences = [""]
    if fixed:
        sentences.append(f"{_flasks(fixed)} {'stays as it is' if fixed == 1 else 'stay as they are'}")
    if out:
        sentences.append(f"{waxes_in_words(out)} left out may save {_flasks(out)}")
    terms = " + ".join(str(number) for number in [*flasks, *([fixed] if fixed else [])])
    terms += f" - {out}" if out else ""
    if sum(flasks) + fixed - out == least:
        sentences.append(f"{terms} = {least}")
    return ". ".join(sentences)


def _stronger(need: FlaskBound, waxes: int, proved: int) -> FlaskBound:
    """The combinatorial bound, or the bound of column generation where that is higher."""
    if proved <= need.flasks:
        return need
    return FlaskBound(proved, f"every way to put its {waxes_in_words(waxes)} into {_flasks(proved - 1)} is ruled out")


def _sentence(name: str, has: int, least: int, because: str, met: bool) -> str:
    flasks = _flasks(has)
    if not has:
        return f"{name}: no flask, because every wax of it is left out."
    if not met:
        return (
            f"{name}: {flasks}. Another plan might take the waxes that are left out, so fewer flasks are not ruled out."
        )
    if least == has:
        return f"{name} needs {flasks}: {because}." if has > 1 else ""
    return f"{name}: {flasks}, perhaps fewer. It needs at least {least}: {because}."


def _flasks(number: int) -> str:
    return "1 flask" if number == 1 else f"{number} flasks"
