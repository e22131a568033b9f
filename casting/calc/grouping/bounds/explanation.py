"""Explanation of the lower bound on flasks: sentences for a teacher, with sums to be checked by hand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence

from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds, FlaskBound
from casting.calc.grouping.flask_rules import Family, Item
from casting.calc.grouping.solution import Flasks
from casting.calc.values.day_input import SCHOOL
from casting.calc.values.enums import Kind
from casting.calc.values.marked_text import waxes_in_words
from casting.calc.values.sentence import Sentence, and_again, say, together

KIND_WORDS = {
    "": say("waxes"),
    Kind.WAX: say("waxes"),
    Kind.RESIN: say("resin prints"),
    Kind.STONES: say("waxes with stones"),
}
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
        return say("There are no waxes, so no flask is needed.")
    sentences, total = [], 0
    for alloy in alloys:
        sentence, least = _of_alloy(bounds, flasks, loose, met, alloy, families)
        sentences += [sentence] if sentence else []
        total += least
    if met and number > total:
        words = "Together they need at least {flasks}, because they compete for the same flask sizes."
        sentences.append(say(words, flasks=number))
    if not sentences:
        return say("One flask is the fewest there can be." if len(alloys) == 1 else "Each metal needs its own flask.")
    return together(sentences)


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
        sums = _summed([need.flasks for need in needed.values()], fixed, out, least)
        because = say("{parts:.}", parts=[because, *sums])
    return _sentence(rules.day.alloys[alloy].name, len(has), least, because, met), least


def _because(needed: Mapping[Family, FlaskBound], waxes: int, fixed: int) -> str:
    """What follows the colon, without its full stop; with several families, then a sentence for each."""
    if not needed:
        return _staying(fixed)
    if len(needed) == 1:
        (need,) = needed.values()
        alone = say("1 wax needs 1 flask" if waxes == 1 else "{waxes} waxes need 1 flask", waxes=waxes)
        return need.because if need.flasks > 1 else alone
    owners, kinds = ({family[at] for family in needed} for at in (1, 2))
    sentences = [_sharing_none(len(owners) > 1, kinds)]
    said = Counter((_called(family, len(owners) > 1, len(kinds) > 1), need) for family, need in needed.items())
    for (called, need), students in said.items():
        each = say(" for each of {students} students", students=students) if students > 1 else ""
        # A reason that has a colon itself is a sentence of its own.
        reason = say(". {reason:capital}" if ": " in need.because else ": {reason}", reason=need.because)
        figures = {"flasks": _flasks(need.flasks), "each": each, "reason": "" if need.flasks < 2 else reason}
        sentences.append(say("{called} {flasks}{each}{reason}", called=called, **figures))
    return say("{parts:.}", parts=sentences)


def _staying(fixed: int) -> Sentence:
    return say("1 flask stays as it is" if fixed == 1 else "{flasks} flasks stay as they are", flasks=fixed)


def _sharing_none(by_owner: bool, kinds: Collection[str]) -> Sentence:
    """What of an alloy shares no flask: metals of different owners, waxes of different kinds, or both."""
    words = sorted({KIND_WORDS[kind] for kind in kinds})
    if not by_owner:
        return say("{kinds} share no flask", kinds=and_again(words))
    if len(words) < 2:
        return say("metals of different owners share no flask")
    return say("metals of different owners share no flask, nor do {kinds}", kinds=and_again(words))


def _called(family: Family, by_owner: bool, by_kind: bool) -> Sentence:
    """The name of a family among those of its alloy, by what they differ in, with the verb "need"."""
    _alloy, owner, kind = family
    if not by_owner:
        return say("The {pieces} need", pieces=KIND_WORDS[kind])
    whose = say("the school's metal" if owner == SCHOOL else "a student's own metal")
    words = "In {whose} the {pieces} need" if by_kind else "{whose:capital} needs"
    return say(words, whose=whose, pieces=KIND_WORDS[kind])


def _summed(flasks: Sequence[int], fixed: int, out: int, least: int) -> list[Sentence]:
    """The sum that gives `least`, with its terms for fixed flasks and waxes left out named."""
    sentences = []
    if fixed:
        sentences.append(_staying(fixed))
    if out:
        sentences.append(say("{waxes} left out may save {flasks}", waxes=waxes_in_words(out), flasks=_flasks(out)))
    terms = " + ".join(str(number) for number in [*flasks, *([fixed] if fixed else [])])
    terms += f" - {out}" if out else ""
    if sum(flasks) + fixed - out == least:
        sentences.append(say("{terms} = {least}", terms=terms, least=least))
    return sentences


def _stronger(need: FlaskBound, waxes: int, proved: int) -> FlaskBound:
    """The combinatorial bound, or the bound of column generation where that is higher."""
    if proved <= need.flasks:
        return need
    words = "every way to put its {waxes} into {flasks} is ruled out"
    return FlaskBound(proved, say(words, waxes=waxes_in_words(waxes), flasks=_flasks(proved - 1)))


def _sentence(name: str, has: int, least: int, because: str, met: bool) -> str:
    flasks = _flasks(has)
    if not has:
        return say("{metal}: no flask, because every wax of it is left out.", metal=name)
    if not met:
        words = (
            "{metal}: {flasks}. Another plan might take the waxes that are left out, so fewer flasks are not ruled out."
        )
        return say(words, metal=name, flasks=flasks)
    if least == has:
        return say("{metal} needs {flasks}: {because}.", metal=name, flasks=flasks, because=because) if has > 1 else ""
    words = "{metal}: {flasks}, perhaps fewer. It needs at least {least}: {because}."
    return say(words, metal=name, flasks=flasks, least=least, because=because)


def _flasks(number: int) -> Sentence:
    return say("1 flask" if number == 1 else "{flasks} flasks", flasks=number)
